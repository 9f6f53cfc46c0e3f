"""The command line: each command is its options and a call.  Imports stand inside, so that ``--help`` is quick."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any

import click

from handover import __version__

DONE, CHECK_FAILED, NEEDS_MENDING = 0, 1, 2
_KINDS = ("car-charger", "feeder", "heat-pump", "other")
_Folder = click.Path(path_type=Path)


def _say(text: str = "", *, err: bool = False, end: str = "\n") -> None:
    """Everything that this program tells on a terminal goes through here, and so holds nothing that commands one."""
    from handover.problems import harmless

    click.echo(harmless(text) + end, nl=False, err=err)


@contextmanager
def _told_harmlessly() -> Iterator[None]:
    """What is wrong with a command line is told with words of that command line."""
    from handover.problems import harmless

    try:
        yield
    except click.ClickException as wrong:
        vars(wrong)["message"] = harmless(wrong.message)  # it is marked final, though read only when it is shown
        raise


class _Commands(click.Group):
    """The commands, none of which quotes its command line as it is."""

    def make_context(self, *args: Any, **extra: Any) -> click.Context:
        with _told_harmlessly():
            return super().make_context(*args, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        with _told_harmlessly():
            return super().invoke(ctx)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="handover")
def main() -> None:
    r"""Turn a finished electrical job into a handover pack.

    Write the job down in a folder (YAML and photos), check it, build the pack, publish the posted edition, print the
    labels. Start with:  handover new my-job --kind car-charger

    \b
    Exit status: 0 all well, 1 a check fails, 2 the record needs mending.
    """
    # A Windows console in an old code page cannot say "Ω"; a question mark there is better than a stop.
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _short_lived() -> None:
    """Leave garbage collection to the end of the process: it would walk the loaded libraries over and over."""
    import gc

    gc.disable()


@contextmanager
def _problems_shown() -> Iterator[None]:
    """Every problem of the job folder to standard error, then status 2."""
    from handover.problems import JobProblems, count_of

    try:
        yield
    except JobProblems as found:
        for problem in found.problems:
            _say(str(problem), err=True)
        _say(f"\n{count_of(len(found.problems), 'problem')}; nothing was written.", err=True)
        sys.exit(NEEDS_MENDING)


@main.command()
@click.argument("folder", type=_Folder)
@click.option("--kind", type=click.Choice(_KINDS), default="other", show_default=True, help="What the job was about.")
def new(folder: Path, kind: str) -> None:
    """Write a commented starter FOLDER for a job, with a secret address of its own."""
    from handover.starter import write_starter

    with _problems_shown():
        write_starter(folder, kind)
    _say(f"Written: {folder}\nFill in job.yaml, put pictures into photos, then:  handover check {folder}")


@main.command()
@click.argument("job", type=_Folder)
@click.option("--json", "as_data", is_flag=True, help="Print the results as JSON, with all working.")
@click.option(
    "--edition",
    type=int,
    metavar="YEAR",
    help="Check against another edition than the adopted one, and tell what it would change.",
)
def check(job: Path, as_data: bool, edition: int | None) -> None:
    """Check the record in JOB and run the verification calculations."""
    _short_lived()
    from handover.checks import compared
    from handover.checks.run import as_json, loose_ends, report_lines, run_checks, stops_build
    from handover.problems import JobProblems, harmless_json
    from handover.record.earlier import read_earlier
    from handover.record.reader import read_job

    with _problems_shown():
        record = read_job(job)
        read_earlier(job, record)
        if record.photos:
            from handover.photos import check_photos

            unfit = check_photos(record.photos, job)
            if unfit:
                raise JobProblems(unfit)
        results = run_checks(record, edition)
        adopted = record.code.edition
        # The editions are compared only where two were asked for: it takes the time of a second check.
        found = compared.changes(run_checks(record), results) if edition not in (None, adopted) else None
    if as_data:
        import json

        told = as_json(record, edition or adopted, results)
        if found is not None:
            told["compared_with"] = compared.as_json(found, adopted)
        _say(harmless_json(json.dumps(told, indent=1, ensure_ascii=False)))
    else:
        for line in report_lines(results):
            _say(line)
        if found is not None and edition is not None:
            _say()
            for line in compared.change_lines(found, adopted, edition):
                _say(line)
    for loose in loose_ends(record, results):
        _say(str(loose), err=True)
    sys.exit(CHECK_FAILED if any(stops_build(result) for result in results) else DONE)


@main.command()
@click.argument("job", type=_Folder)
@click.option("--language", default="es", show_default=True, metavar="CODE", help="The language wanted.")
def untranslated(job: Path, language: str) -> None:
    """Print the texts of JOB that still stand in English on its pages in another language.

    They come as lines for the record, in which only the translation is missing.
    """
    _short_lived()
    from handover.problems import one_problem
    from handover.record.reader import read_job
    from handover.untranslated import to_fill_in, untranslated
    from handover.words import OWN, languages

    with _problems_shown():
        record = read_job(job)
        others = [code for code in languages() if code != OWN]
        if language not in others:
            what = f"there are no pages in {language!r}"
            raise one_problem("--language", what, f"Name one of: {', '.join(others)}.")
        texts = untranslated(language, record)
    if texts:
        _say(to_fill_in(language, texts))
    else:
        _say("Nothing is missing.")


@main.command()
@click.argument("job", type=_Folder)
@click.option("--out", type=_Folder, help="Where the pack goes.  [default: JOB/pack]")
@click.option("--keep-tree", is_flag=True, help="Keep what the site builder was given, in OUT/tree, to look at.")
@click.option("--quiet", is_flag=True, help="Say nothing unless something is wrong.")
@click.option(
    "--label-sheet",
    "label_sheets",
    metavar="NAME",
    multiple=True,
    help="Labels on self-adhesive sheets besides, such as letter-6; a wrong NAME lists all. May be repeated.",
)
def build(job: Path, out: Path | None, keep_tree: bool, quiet: bool, label_sheets: tuple[str, ...]) -> None:
    """Build the pack of JOB: the posted edition, and the owner's with the label sheet."""
    _short_lived()
    from handover.build import build as build_pack
    from handover.checks.run import report_lines, stops_build

    shown = _Counter(quiet)
    with _problems_shown():
        target = out or job / "pack"
        outcome = build_pack(job, target, progress=shown, keep_tree=keep_tree, label_sheets=label_sheets)
    shown.close()
    if outcome.stopped:
        failing = [result for result in outcome.results if stops_build(result)]
        for line in report_lines(failing):
            _say(line, err=True)
        _say("\nNo pack was written. Put the installation right, or answer the result in the record under", err=True)
        _say("answers:  with rule, subject, reason, by and date; the pack then shows it openly.", err=True)
        sys.exit(CHECK_FAILED)
    if not quiet:
        from handover.after_build import what_to_do_next

        for line in what_to_do_next(outcome):
            _say(line)


class _Counter:
    """The progress display: one line that is written over on a terminal, one line a step elsewhere."""

    def __init__(self, quiet: bool) -> None:
        self.quiet = quiet
        self.rewrites = sys.stderr.isatty()
        self.longest = 0

    def __call__(self, said: str) -> None:
        if not self.quiet:
            # Written over with spaces: not every terminal knows the command that empties a line.
            self.longest = max(self.longest, len(said))
            _say(said.ljust(self.longest) if self.rewrites else said, err=True, end="\r" if self.rewrites else "\n")

    def close(self) -> None:
        if self.rewrites:
            self("")


@main.command()
@click.argument("job", type=_Folder)
def reissue(job: Path) -> None:
    """Freeze the record in JOB as it was handed over, before you write new work into it."""
    from handover.reissue import reissue as freeze
    from handover.reissue import what_to_do_next

    with _problems_shown():
        frozen = freeze(job)
    for line in what_to_do_next(frozen):
        _say(line)


@main.command()
@click.argument("job", type=_Folder)
@click.option("--out", type=_Folder, help="Where the pack goes.  [default: JOB/pack]")
@click.option("--lan", is_flag=True, help="Let a phone on the same network see the posted edition.")
@click.option("--port", type=click.IntRange(0, 65535), default=8714, show_default=True, help="0 picks a free one.")
def serve(job: Path, out: Path | None, lan: bool, port: int) -> None:
    """Show the pack of JOB in a browser and build it again whenever the job folder changes."""
    from handover.serve import serve_job

    with _problems_shown():
        serve_job(job, out or job / "pack", everywhere=lan, port=port, say=_say)


@main.command()
@click.argument("pack", type=_Folder)
@click.option("--key", type=_Folder, help="The contractor's public key: look at the signature too.")
def verify(pack: Path, key: Path | None) -> None:
    """Tell whether PACK, a pack's folder or a zip file of it, is still what it was when it was made.

    Exit status: 0 it is, 1 something is missing, changed, added or not signed with the key, 2 it cannot be compared.
    """
    import datetime as dt
    from functools import partial

    from handover.after_verify import all_well, told
    from handover.verifying import verify as compare

    with _problems_shown():
        is_signed = None
        if key is not None:
            signing = _signing()
            is_signed = partial(signing.is_signed_by, signing.public_key(key))
        found = compare(pack)
    for line in told(found, is_signed, dt.date.today()):
        _say(line)
    sys.exit(DONE if all_well(found, is_signed) else CHECK_FAILED)


@main.command()
@click.argument("file", type=_Folder)
@click.option("--no-passphrase", is_flag=True, help="Do not lock the key: whoever gets the file can sign as you.")
def new_key(file: Path, no_passphrase: bool) -> None:
    """Make a key to sign packs with: FILE, which stays with you alone, and FILE.pub, which you give to anybody."""
    with _problems_shown():
        signing = _signing()
        ask = "Passphrase that locks the key (empty: none)"
        passphrase = None
        if not no_passphrase:
            passphrase = click.prompt(ask, default="", hide_input=True, confirmation_prompt=True, show_default=False)
        public = signing.new_key(file, passphrase)
    _say(f"Written: {file}, the private key. Keep it out of job folders and packs, and keep a copy in a safe place.")
    _say(f"Written: {public}, the public key. Give it to customers yourself, on paper or in person.")


@main.command()
@click.argument("pack", type=_Folder)
@click.option("--key", type=_Folder, required=True, help="Your private key, made by: handover new-key")
def sign(pack: Path, key: Path) -> None:
    """Sign PACK, a pack's folder: all of it, each edition alone too. Sign again after each build."""
    from handover.after_verify import manifests_to_sign

    with _problems_shown():
        signing = _signing()
        passphrase = click.prompt("Passphrase", hide_input=True) if signing.is_locked(key) else None
        private = signing.private_key(key, passphrase)
        manifests = manifests_to_sign(pack)
        for manifest in manifests:
            signing.sign(manifest, private)
    for manifest in manifests:
        _say(f"Signed: {manifest}")


def _signing() -> ModuleType:
    """The signing module, whose library is an extra.  Raises JobProblems without it."""
    from handover.problems import one_problem

    try:
        from handover import signing
    except ImportError:
        what = "signing and looking at signatures need one more library"
        raise one_problem("", what, "Install it with:  pip install 'handover[sign]'") from None
    return signing


@main.command()
def schema() -> None:
    """Print the JSON Schema of a job record, for editors that complete and check while typing."""
    import json

    from handover.record.schema import job_schema

    _say(json.dumps(job_schema(), indent=1, ensure_ascii=False))


@main.command()
@click.argument("shell", type=click.Choice(("bash", "zsh", "fish")))
def completion(shell: str) -> None:
    """Print the lines that make SHELL complete this command's words."""
    from click.shell_completion import get_completion_class

    made = get_completion_class(shell)
    if made is None:
        raise click.UsageError(f"no completion for {shell}")
    _say(made(main, {}, "handover", "_HANDOVER_COMPLETE").source())
