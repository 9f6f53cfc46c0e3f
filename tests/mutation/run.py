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
import gc
import importlib.abc
import importlib.util
import json
import operator as op
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import yaml
from cosmic_ray import plugins
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code

from handover.record.people import EDITIONS

ROOT = Path(__file__).parents[2]
TESTS = ("tests/checks", "tests/tables")
LEFT_OUT = tuple(
    f"tests/checks/test_{name}.py" for name in ("missing_facts", "verdicts_reached", "wrong_variants", "properties")
)
"""Tests of whole jobs or by random numbers, the slow ones: what only they notice counts as survived here."""
SECONDS = 90
IDENTITY = ("core/ReplaceComparisonOperator_Eq_Is", "core/ReplaceComparisonOperator_NotEq_IsNot")
RELATIONS = {"Eq": op.eq, "NotEq": op.ne, "Lt": op.lt, "LtE": op.le, "Gt": op.gt, "GtE": op.ge}
MEMBERS_OF = ("Verdict", "Basis")
OFFSETS = (1, -1)
"""What cosmic-ray adds to a number, the first and the second time it alters it."""


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
    """Every fault that cosmic-ray's operators know for a module, apart from those that are none.

    None are: what alters annotations; the bare star before a function's named arguments, which gives no program; and
    what ``_alters_nothing`` proves.
    """
    path = ROOT / f"{module.replace('.', '/')}.py"
    text = path.read_text(encoding="utf-8")
    nodes, lines = list(ast_nodes(get_ast(text))), text.splitlines()
    spans, compared = annotations(text), list(_compared(text))
    for name in sorted(plugins.operator_names()):
        operator_class = plugins.get_operator(name)
        if operator_class.arguments():
            continue
        operator = operator_class()
        places = (start for node in nodes for start, _ in operator.mutation_positions(node))
        for occurrence, start in enumerate(places):
            noted = any(first <= start < last for first, last in spans) or lines[start[0] - 1][start[1] :][:2] == "*,"
            if not noted and not any(_alters_nothing(each, name, occurrence, start) for each in compared):
                yield Mutant(module, name, occurrence, start[0])


def _compared(text: str) -> Iterator[ast.Compare]:
    """The comparisons of a module with one operator."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Compare) and len(node.ops) == 1:
            yield node


def _alters_nothing(node: ast.Compare, name: str, occurrence: int, start: tuple[int, int]) -> bool:
    """Whether a fault at ``start`` leaves what a comparison comes to.

    Compared with an edition: both come to the same in every edition there is, and run_checks refuses all others.
    Equality of a field turned to identity with a text of one word: the choices of the record are such constants
    themselves, the validation hands out the constant in place of the text read, and the language keeps a constant like
    a name once.
    Identity with a member of an enumeration turned to equality: its members differ.
    """
    constant = node.comparators[0]
    if not (node.lineno, node.col_offset) <= start < (constant.end_lineno or 0, constant.end_col_offset or 0):
        return False
    if isinstance(constant, ast.Attribute) and isinstance(constant.value, ast.Name) and constant.value.id in MEMBERS_OF:
        return name in ("core/ReplaceComparisonOperator_Is_Eq", "core/ReplaceComparisonOperator_IsNot_NotEq")
    if not isinstance(constant, ast.Constant):
        return False
    if name in IDENTITY:
        of_the_record = isinstance(node.left, ast.Attribute) and node.left.attr != "unit"  # a size's unit is cut out
        return of_the_record and isinstance(constant.value, str) and constant.value.isidentifier()
    subject = node.left.attr if isinstance(node.left, ast.Attribute) else getattr(node.left, "id", "")
    if subject != "edition" or not isinstance(constant.value, int):
        return False
    relation = RELATIONS[type(node.ops[0]).__name__]
    altered, number = relation, constant.value
    if name == "core/NumberReplacer":
        number += OFFSETS[occurrence % 2]
    elif name.startswith("core/ReplaceComparisonOperator_"):
        altered = RELATIONS.get(name.rpartition("_")[2], op.is_)
    else:
        return False
    return all(relation(each, constant.value) == altered(each, number) for each in EDITIONS)


@dataclass(frozen=True)
class Reached:
    """Which tests run which line of a module, and how long each test takes (s)."""

    by_line: dict[str, dict[int, list[str]]]
    seconds: dict[str, float]

    def by(self, mutant: Mutant) -> list[str]:
        """The tests that may notice a fault, quickest first.

        Those that run its statement, where it is in a function.  What stands outside of functions is run once at
        import, and what a cache keeps once for all tests: there every test of each file that tests the module, and
        those that run no line at all but look at what is defined.
        """
        lines = self.by_line.get(mutant.module, {})
        first, last = _statement(mutant.path, mutant.line)
        found = {each for line in range(first, last + 1) for each in lines.get(line, ())}
        return sorted(found or self._of_the_module(lines), key=lambda each: (self.seconds.get(each, 0.0), each))

    def _of_the_module(self, lines: dict[int, list[str]]) -> set[str]:
        files = {each.partition("::")[0] for tests in lines.values() for each in tests}
        running = {each for held in self.by_line.values() for tests in held.values() for each in tests}
        return {each for each in self.seconds if each.partition("::")[0] in files or each not in running}


@cache
def _statement(path: Path, line: int) -> tuple[int, int]:
    """First and last line of the simple statement, or the head of a compound one, at ``line`` of a module.

    Nothing (1, 0) outside of functions and in a function that a cache spares from running again.
    """
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [each for each in ast.walk(tree) if isinstance(each, ast.FunctionDef)]
    inside = [each for each in functions if each.body[0].lineno <= line <= (each.end_lineno or 0)]
    if not inside or any(isinstance(how, ast.Name) and how.id == "cache" for f in inside for how in f.decorator_list):
        return 1, 0
    statements = [each for each in ast.walk(inside[-1]) if isinstance(each, ast.stmt)]
    around = [each for each in statements if each.lineno <= line <= (each.end_lineno or 0)]
    nearest = max(around, key=lambda each: (each.lineno, -(each.end_lineno or 0)))
    body = getattr(nearest, "body", None)
    return nearest.lineno, body[0].lineno - 1 if body and body[0].lineno > nearest.lineno else nearest.end_lineno or 0


def reached_by_tests(only: Sequence[str], kept: Path | None) -> Reached:
    """The tests by the lines they run, by one run under coverage; or as ``kept`` in a file by an earlier run."""
    if kept and kept.exists():
        return Reached(*(_read_map(kept)))
    with tempfile.TemporaryDirectory() as folder:
        data, settings, times = Path(folder, "coverage"), Path(folder, "rc"), Path(folder, "times.xml")
        settings.write_text(
            f"[run]\ndata_file={data}\nsource=handover.checks,handover.tables\ndynamic_context=test_function\n"
        )
        measure = ["-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest", "-q", f"--junitxml={times}"]
        command = [sys.executable, *measure, *_options(only)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        if done.returncode:
            raise SystemExit(f"The tests fail without any fault:\n{done.stdout[-3000:]}")
        reached = Reached(_lines(data), _seconds(times))
    if kept:
        kept.write_text(json.dumps([reached.by_line, reached.seconds]), encoding="utf-8")
    return reached


def _read_map(kept: Path) -> tuple[dict[str, dict[int, list[str]]], dict[str, float]]:
    by_line, seconds = json.loads(kept.read_text(encoding="utf-8"))
    return {module: {int(line): tests for line, tests in lines.items()} for module, lines in by_line.items()}, seconds


def _lines(data: Path) -> dict[str, dict[int, list[str]]]:
    import coverage

    measured = coverage.CoverageData(basename=str(data))
    measured.read()
    found: dict[str, dict[int, list[str]]] = {}
    for file in measured.measured_files():
        module = ".".join(Path(file).relative_to(ROOT).with_suffix("").parts)
        found[module] = {
            line: sorted({_file_and_name(each) for each in contexts if "test_" in each.rpartition(".")[0]})
            for line, contexts in measured.contexts_by_lineno(file).items()
        }
    return found


def _seconds(times: Path) -> dict[str, float]:
    """Seconds of each test function, all its parameters together."""
    seconds: dict[str, float] = {}
    for case in ElementTree.parse(times).iter("testcase"):
        name = f"{case.get('classname', '').replace('.', '/')}.py::{case.get('name', '').partition('[')[0]}"
        seconds[name] = seconds.get(name, 0.0) + float(case.get("time", 0))
    return seconds


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
        without = [
            part for name in ("cacheprovider", "unraisableexception", "randomly") for part in ("-p", f"no:{name}")
        ]
        code = int(pytest.main(["-x", "-q", "-n", "0", *without, *tests]))
    finally:
        os._exit(code)


def preload(compiled: str) -> None:
    """Load what every test needs, apart from the modules that are to be made faulty.

    ``compiled`` is a folder for compiled code: each process would else compile all modules and tests anew.
    """
    sys.dont_write_bytecode, sys.pycache_prefix = False, compiled
    sys.path.insert(0, str(ROOT))
    os.chdir(ROOT)
    import filelock  # noqa: F401
    import hypothesis.strategies  # noqa: F401
    import pytest  # noqa: F401

    import handover.record.reader  # noqa: F401
    from handover.record.record import Record

    Record.model_rebuild()  # else done at the first record of each process
    early = [name for name in sys.modules if name.startswith(("handover.checks", "handover.tables", "tests."))]
    for name in early:
        del sys.modules[name]
    gc.freeze()


def passes_without_fault(reached: Reached) -> bool:
    """Whether all tests are found and pass here when nothing is altered: else every fault would seem noticed."""
    every = sorted({each for lines in reached.by_line.values() for tests in lines.values() for each in tests})
    number = start(Mutant(modules()[0], "", -1, 0), every)
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1]) == 0


def run_all(chosen: Sequence[Mutant], reached: Reached, workers: int) -> dict[Mutant, str]:
    """What became of each mutant: killed, survived, or not reached by any test."""
    fate: dict[Mutant, str] = {}
    running: dict[int, Mutant] = {}
    began = time.time()
    waiting = list(chosen)
    while waiting or running:
        while waiting and len(running) < workers:
            mutant = waiting.pop()
            tests = reached.by(mutant)
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
    options.add_argument("--map", type=Path, help="keep which test runs which line in this file; delete it to renew")
    asked = options.parse_args()
    every = [mutant for module in asked.module or modules() for mutant in mutants_of(module)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample or len(every), len(every)))
    reached = reached_by_tests(asked.tests, asked.map)
    compiled = tempfile.TemporaryDirectory()
    preload(compiled.name)
    if not passes_without_fault(reached):
        raise SystemExit("The tests fail without any fault, or some are gone from the kept map.")
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
