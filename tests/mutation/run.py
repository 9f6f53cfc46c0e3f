"""Mutation testing of the checks and tables: how many small faults in the rules the tests notice.

The faults are those of cosmic-ray's operators.  Its own runner starts a process for each, which would take a night;
this one forks a process that has the libraries loaded, puts the faulty module in by an import hook, and runs only the
tests that reach the faulty line.  Faults in type annotations are left out: nothing reads those when a check runs.

    pip install -e '.[test,mutation]'
    python tests/mutation/run.py --sample 1200

prints the share killed and every survivor, with what ``survivors.yaml`` says of it.  Needs a system that can fork.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import importlib.abc
import importlib.util
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import yaml
from cosmic_ray import plugins
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code

ROOT = Path(__file__).parents[2]
TESTS = ("tests/checks", "tests/tables")
LEFT_OUT = ("tests/checks/test_missing_facts.py", "tests/checks/test_verdicts_reached.py")
"""Whole-job tests that take half a minute each: what only they notice counts as survived here."""
SECONDS = 90
EQUAL = ("core/ReplaceComparisonOperator_Eq_Is", "core/ReplaceComparisonOperator_NotEq_IsNot")
"""Faults that are none: the texts and choices compared here are one object each, so identity is equality."""


@dataclass(frozen=True)
class Mutant:
    """One fault: the ``occurrence``-th place of a module where ``operator`` can alter it."""

    module: str
    operator: str
    occurrence: int
    line: int

    @property
    def path(self) -> Path:
        return ROOT / f"{self.module.replace('.', '/')}.py"

    def source(self) -> str | None:
        """The module's text with the fault; None where there is none."""
        if not self.operator:
            return None
        operator = plugins.get_operator(self.operator)()
        return mutate_code(self.path.read_text(encoding="utf-8"), operator, self.occurrence)

    def told(self) -> str:
        """The lines that the fault alters."""
        before = self.path.read_text(encoding="utf-8").splitlines()
        after = (self.source() or "").splitlines()
        changed = [each for each in difflib.unified_diff(before, after, lineterm="", n=0) if each[:1] in "+-"]
        return "\n".join(each for each in changed if each[:3] not in ("+++", "---"))


def modules() -> list[str]:
    """The modules of the checks and tables, by name."""
    paths = [*ROOT.glob("handover/checks/*.py"), *ROOT.glob("handover/tables/*.py")]
    return sorted(".".join(path.relative_to(ROOT).with_suffix("").parts) for path in paths if path.stem != "__init__")


def annotations(text: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Where type annotations stand: first and last line and column of each."""
    spans = []
    for node in ast.walk(ast.parse(text)):
        held = [getattr(node, "returns", None), getattr(node, "annotation", None)]
        spans += [((a.lineno, a.col_offset), (a.end_lineno or 0, a.end_col_offset or 0)) for a in held if a]
    return spans


def mutants_of(module: str) -> Iterator[Mutant]:
    """Every fault that cosmic-ray's operators know for a module, outside annotations."""
    path = ROOT / f"{module.replace('.', '/')}.py"
    text = path.read_text(encoding="utf-8")
    nodes, spans = list(ast_nodes(get_ast(text))), annotations(text)
    for name in sorted(plugins.operator_names()):
        operator_class = plugins.get_operator(name)
        if operator_class.arguments() or name in EQUAL:
            continue
        operator = operator_class()
        places = (start for node in nodes for start, _ in operator.mutation_positions(node))
        for occurrence, start in enumerate(places):
            if not any(first <= start < last for first, last in spans):
                yield Mutant(module, name, occurrence, start[0])


def tests_by_line(only: Sequence[str]) -> dict[tuple[str, int], list[str]]:
    """For each line of a module the tests that run it, quickest first, by one run under coverage."""
    with tempfile.TemporaryDirectory() as folder:
        data, settings = Path(folder, "coverage"), Path(folder, "rc")
        settings.write_text(
            f"[run]\ndata_file={data}\nsource=handover.checks,handover.tables\ndynamic_context=test_function\n"
        )
        measure = ["-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest", "-q"]
        command = [sys.executable, *measure, *_options(only)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        if done.returncode:
            raise SystemExit(f"The tests fail without any fault:\n{done.stdout[-3000:]}")
        import coverage

        measured = coverage.Coverage(data_file=str(data)).get_data() if data.exists() else None
        assert measured is not None
        measured.read()
        found: dict[tuple[str, int], list[str]] = {}
        for file in measured.measured_files():
            module = ".".join(Path(file).relative_to(ROOT).with_suffix("").parts)
            for line, contexts in measured.contexts_by_lineno(file).items():
                found[module, line] = sorted(
                    {_file_and_name(each) for each in contexts if "test_" in each.rpartition(".")[0]}
                )
        return found


def _file_and_name(context: str) -> str:
    """A test as pytest names it, from what coverage calls it: the file and the function, with all its parameters."""
    module, _, function = context.rpartition(".")
    stem = module.rpartition(".")[2]
    (file,) = (path for folder in TESTS for path in (ROOT / folder).rglob("test_*.py") if path.stem == stem)
    return f"{file.relative_to(ROOT).as_posix()}::{function}"


def _options(only: Sequence[str]) -> list[str]:
    return [*(only or TESTS), *(f"--ignore={name}" for name in LEFT_OUT), "-p", "no:cacheprovider", "-n", "0"]


class Faulty(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the faulty text in place of the module's own."""

    def __init__(self, mutant: Mutant, text: str) -> None:
        self.mutant, self.text = mutant, text

    def find_spec(self, fullname: str, path: object = None, target: object = None) -> object:
        if fullname != self.mutant.module:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.mutant.path))

    def exec_module(self, module: object) -> None:
        exec(compile(self.text, str(self.mutant.path), "exec"), vars(module))


def start(mutant: Mutant, tests: Sequence[str]) -> int:
    """Fork a process that runs ``tests`` on the faulty module; its number."""
    text = mutant.source()
    number = os.fork()
    if number:
        return number
    os.setsid()
    signal.alarm(SECONDS)
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    code = 1
    try:
        import pytest

        if text is not None:
            sys.meta_path.insert(0, Faulty(mutant, text))
        code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-n", "0", "-p", "no:randomly", *tests]))
    finally:
        os._exit(code)


def preload() -> None:
    """Load what every test needs, apart from the modules that are to be made faulty."""
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    import hypothesis  # noqa: F401
    import pytest  # noqa: F401

    import handover.record.reader
    import handover.units  # noqa: F401

    early = [name for name in sys.modules if name.startswith(("handover.checks", "handover.tables", "tests."))]
    for name in early:
        del sys.modules[name]


def passes_without_fault(module: str, reached: dict[tuple[str, int], list[str]]) -> bool:
    """Whether some of a module's tests pass here when nothing is altered: else every fault would seem noticed."""
    number = start(Mutant(module, "", -1, 0), _of_module(module, reached)[:4])
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1]) == 0


def run_all(chosen: Sequence[Mutant], reached: dict[tuple[str, int], list[str]], workers: int) -> dict[Mutant, str]:
    """What became of each mutant: killed, survived, or not reached by any test."""
    fate: dict[Mutant, str] = {}
    running: dict[int, Mutant] = {}
    began = time.time()
    waiting = list(chosen)
    while waiting or running:
        while waiting and len(running) < workers:
            mutant = waiting.pop()
            tests = reached.get((mutant.module, mutant.line)) or _of_module(mutant.module, reached)
            if not tests:
                fate[mutant] = "not reached"
                continue
            running[start(mutant, tests)] = mutant
        if running:
            number, status = os.wait()
            mutant = running.pop(number)
            code = os.waitstatus_to_exitcode(status)
            fate[mutant] = "survived" if code == 0 else "killed"
            if len(fate) % 50 == 0:
                print(f"{len(fate)} of {len(chosen)} in {time.time() - began:.0f} s", file=sys.stderr, flush=True)
    return fate


def _of_module(module: str, reached: dict[tuple[str, int], list[str]]) -> list[str]:
    """All tests of a module: for a line that is run when it is imported, or the later lines of a statement."""
    return sorted({each for (name, _), tests in reached.items() if name == module for each in tests})


def explained() -> list[dict[str, str]]:
    """Survivors that were looked at: module, the altered text, and why no test can or need notice."""
    return yaml.safe_load(Path(__file__).with_name("survivors.yaml").read_text(encoding="utf-8")) or []


def main() -> None:
    """Choose, run, tell."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--sample", type=int, help="so many faults, drawn at random; all of them if left out")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--module", action="append", help="only this module, such as handover.checks.bends")
    options.add_argument("--tests", action="append", default=[], help="only these test files")
    options.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    options.add_argument("--write", type=Path, help="also write what became of each fault, as JSON")
    asked = options.parse_args()
    every = [mutant for module in asked.module or modules() for mutant in mutants_of(module)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample or len(every), len(every)))
    reached = tests_by_line(asked.tests)
    preload()
    for module in sorted({mutant.module for mutant in chosen}):
        if not passes_without_fault(module, reached):
            raise SystemExit(f"The tests of {module} fail without any fault.")
    fate = run_all(chosen, reached, asked.workers)
    survived = sorted((one for one, end in fate.items() if end != "killed"), key=lambda one: (one.module, one.line))
    known = explained()
    print(f"{len(every)} faults, {len(chosen)} tried, {len(chosen) - len(survived)} killed:", end=" ")
    print(f"{100 * (len(chosen) - len(survived)) / len(chosen):.1f} %")
    for mutant in survived:
        told = mutant.told()
        why = next((each["why"] for each in known if each["module"] in mutant.module and each["text"] in told), "")
        print(f"\n{fate[mutant]}: {mutant.module}:{mutant.line} {mutant.operator.partition('/')[2]}")
        print(f"{told}\n  {why or '?'}")
    if asked.write:
        rows = [{"module": m.module, "line": m.line, "operator": m.operator, "occurrence": m.occurrence, "fate": end}
                for m, end in fate.items()]  # fmt: skip
        asked.write.write_text(json.dumps(rows, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
