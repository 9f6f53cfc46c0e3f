"""What an electrician does after a build, in a few lines: what to publish where, what to print, what is open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from handover.addresses import address_of
from handover.checks.result import Verdict
from handover.checks.run import loose_ends
from handover.pages.contents import ONE_FILE
from handover.problems import count_of
from handover.to_keep import ZIP
from handover.untranslated import untranslated
from handover.words import OWN, languages

if TYPE_CHECKING:
    from handover.build import Outcome


def what_to_do_next(outcome: Outcome) -> Iterator[str]:
    """The closing lines of a build."""
    counted = {verdict: sum(result.verdict is verdict for result in outcome.results) for verdict in Verdict}
    yield f"{count_of(outcome.pages, 'page')} in two editions."
    yield (
        f"Checks: {counted[Verdict.PASS]} pass, {counted[Verdict.FAIL]} fail, "
        f"{counted[Verdict.UNDECIDED]} cannot be decided, {counted[Verdict.NOT_APPLICABLE]} do not apply."
    )
    yield ""
    yield f"Publish  {outcome.posted.parent}  so that this address opens:"
    yield f"  {address_of(outcome.record.job)}"
    yield f"Give the owner  {outcome.owner}  as files; never publish it."
    yield f"Print the labels from  {outcome.owner / 'labels.pdf'}  at 100 % size."
    for stock, fits, too_large in outcome.label_sheets:
        file = outcome.owner / f"labels-{stock}.pdf"
        yield f"  {count_of(fits, 'label')} also on sheets: {file}; {too_large} too large for them."
    for language, name in languages().items():
        missing = untranslated(language, outcome.record) if language != OWN else ()
        if missing:
            yield f"The pages in {name} still show {count_of(len(missing), 'text')} of your own in English:"
            yield f"  handover untranslated {outcome.job} --language {language}"
    yield f"The whole record on paper: {outcome.owner / 'pack.pdf'}"
    yield f"All pages in one file, for a phone without signal: {outcome.owner / ONE_FILE}"
    yield f"The owner's edition as one file to keep: {outcome.owner.with_name(ZIP)}"
    undecided = [result for result in outcome.results if result.verdict is Verdict.UNDECIDED]
    if undecided:
        yield ""
        yield "Still undecided (each page says what to find out):"
        yield from sorted({f"  {result.subject}  {result.rule}" for result in undecided})
    loose = loose_ends(outcome.record, outcome.results)
    if loose:
        yield ""
        yield "Entries of the record that changed nothing:"
        yield from (str(problem) for problem in loose)
