"""Every sentence of the program's own that a homeowner's page may show: what each catalogue has to hold.

    python -m tests.messages LANGUAGE

prints those that the catalogue of a language lacks, ready to be filled in.
"""

from __future__ import annotations

import ast
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from jinja2 import nodes

from handover.pages.contents import IN_EVERY_LANGUAGE
from handover.pages.templates import environment
from handover.record.evidence import Advice, Finding
from handover.record.facts import Basis
from handover.record.supply import Panel, Source
from handover.record.wiring import Disconnect, Equipment, Outlet
from handover.words import speaking, words

ROOT = Path(__file__).parent.parent
TEMPLATES = (
    "subject.html",
    "moved.html",
    "_words.html",
    "one-file.html",
    "one-file-part.html",
    *(name for name in IN_EVERY_LANGUAGE if name.endswith(".html")),
)
MARKS = ("tell", "later")


def in_code() -> Iterator[str]:
    """The sentences marked in the program."""
    for path in sorted((ROOT / "handover").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in MARKS and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    yield first.value


def in_templates() -> Iterator[str]:
    """The sentences in the templates of homeowners' pages, and in all that these include."""
    waiting, seen = list(TEMPLATES), set[str]()
    made = environment()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        source = made.loader.get_source(made, name)[0]
        tree = made.parse(source)
        waiting += [
            node.template.value
            for kind in (nodes.Include, nodes.Extends)
            for node in tree.find_all(kind)
            if isinstance(node.template, nodes.Const)
        ]
        for _, _, message in made.extract_translations(source):
            if isinstance(message, str):  # not a name, whose sentence is marked where it is written down
                yield message


def in_record() -> Iterator[str]:
    """The words of a record that the program reckons with and a homeowner's page shows: kinds, states, how known."""
    for part, field in _RECKONED_WITH:
        for kind in _kinds(part.model_fields[field].annotation):
            if get_origin(kind) is Literal:
                yield from map(str, get_args(kind))
    yield from (basis.value for basis in (Basis.UNKNOWN, Basis.NOT_CHECKED, Basis.NOT_RECORDED, Basis.NOT_SHOWN))
    yield from ("DANGER", "WARNING", "CAUTION", "NOTICE")


_RECKONED_WITH = (
    (Equipment, "kind"), (Panel, "main_kind"), (Panel, "work"), (Source, "kind"), (Finding, "kind"), (Finding, "basis"),
    (Advice, "decision"), (Disconnect, "kind"), (Outlet, "gfci"),
)  # fmt: skip


def _kinds(annotation: Any) -> list[Any]:
    return [annotation, *(kind for inner in get_args(annotation) for kind in _kinds(inner))]


def every() -> list[str]:
    """All of them, in the order in which they are found, each once."""
    return list(dict.fromkeys(message for message in (*in_templates(), *in_code()) if message.strip()))


if __name__ == "__main__":
    with speaking(sys.argv[1]):
        held = {entry["of"] for entry in words("pages")}
    for message in dict.fromkeys((*every(), *in_record())):
        if message not in held:
            print(f'  - of: {json.dumps(message, ensure_ascii=False)}\n    is: ""')
