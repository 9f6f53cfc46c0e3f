"""YAML text to plain values that remember their file and line.  First stage of the journey.

Every scalar stays the text that was written (``12:30``, ``no``, ``1e3``, ``0o17`` and dates never change meaning);
the models give it meaning later.  All faults of all files are reported at once.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from handover.problems import JobProblems, Place, Problem

try:
    from yaml import CSafeLoader as _Loader
except ImportError:  # a PyYAML built without libyaml: slower, same result
    from yaml import SafeLoader as _Loader  # type: ignore[assignment]

MAX_BYTES = 2_000_000
MAX_DEPTH = 40
MAX_NODES = 100_000
MAX_TEXT = 20_000
_STRANGE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\ud800-\udfff]")


class MarkedText(str):
    """A scalar as written, with its place."""

    place: Place

    def __new__(cls, text: str, place: Place) -> MarkedText:
        """The same text, remembering where it stood."""
        made = super().__new__(cls, text)
        made.place = place
        return made


class MarkedList(list[Any]):
    """A YAML sequence, with the place where it begins."""

    def __init__(self, items: list[Any], place: Place) -> None:
        super().__init__(items)
        self.place = place


class MarkedDict(dict[str, Any]):
    """A YAML mapping, with the place where it begins and the place of each key."""

    def __init__(self, items: dict[str, Any], place: Place, key_places: dict[str, Place]) -> None:
        super().__init__(items)
        self.place = place
        self.key_places = key_places


class _Reading:
    """One file being turned from YAML nodes into marked values, with the faults found on the way."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.nodes = 0
        self.seen: set[int] = set()

    def fault(self, line: int, what: str, remedy: str, where: str = "") -> None:
        self.problems.append(Problem(Place(self.file, line), where, what, remedy))

    def value(self, node: yaml.Node, depth: int) -> Any:
        line = node.start_mark.line + 1
        self.nodes += 1
        if depth > MAX_DEPTH:
            self.fault(line, f"lists within lists deeper than {MAX_DEPTH} levels", "Write the record flatter.")
            return None
        if self.nodes > MAX_NODES:
            if self.nodes == MAX_NODES + 1:
                self.fault(line, f"more than {MAX_NODES} values in one file", "Split the job into several folders.")
            return None
        if node.tag.startswith("!") or node.tag.startswith("tag:yaml.org,2002:python"):
            self.fault(
                line, f"the tag {node.tag} is not used in a job record", "Remove the tag; write the plain value."
            )
            return None
        if id(node) in self.seen:  # an alias brings the very node again, and could make a small file huge
            self.fault(line, "aliases (*name) are not used in a job record", "Write the value out in each place.")
            return None
        self.seen.add(id(node))
        place = Place(self.file, line)
        if isinstance(node, yaml.ScalarNode):
            return self.scalar(node, place)
        if isinstance(node, yaml.SequenceNode):
            return MarkedList([self.value(item, depth + 1) for item in node.value], place)
        return self.mapping(node, place, depth)

    def scalar(self, node: yaml.ScalarNode, place: Place) -> MarkedText | None:
        text = str(node.value)
        if node.style is None and text in ("", "~", "null"):
            return None
        if len(text) > MAX_TEXT:
            self.fault(place.line, f"a text of {len(text)} characters", f"Keep one text under {MAX_TEXT} characters.")
            return None
        strange = _STRANGE.search(text)
        if strange is not None:
            code = f"U+{ord(strange.group()):04X}"
            self.fault(place.line, f"an invisible or control character ({code})", "Delete it and type the text again.")
            return None
        return MarkedText(text.strip(), place)

    def mapping(self, node: yaml.Node, place: Place, depth: int) -> MarkedDict:
        items: dict[str, Any] = {}
        key_places: dict[str, Place] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if not isinstance(key_node, yaml.ScalarNode):
                self.fault(line, "a key that is not a plain word", "Write keys as plain words followed by a colon.")
                continue
            key = str(key_node.value)
            if key == "<<":
                self.fault(line, "merge keys (<<) are not used in a job record", "Write the values out in each place.")
                continue
            if key in items:
                first = key_places[key].line
                self.fault(line, f'"{key}" is written twice here (first on line {first})', "Keep one of the two.")
                continue
            items[key] = self.value(value_node, depth + 1)
            key_places[key] = Place(self.file, line)
        return MarkedDict(items, place, key_places)


def _text_of(reading: _Reading, data: bytes) -> str | None:
    if len(data) > MAX_BYTES:
        reading.fault(
            0, f"the file is larger than {MAX_BYTES // 1_000_000} MB", "A job file is text; check what it is."
        )
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        reading.fault(line, "the file is not UTF-8 text", "Save it as UTF-8 in your editor.")
        return None
    if "\x00" in text:
        reading.fault(text[: text.index("\x00")].count("\n") + 1, "a NUL character", "Save the file as UTF-8 text.")
        return None
    return text


def read_yaml(file: str, data: bytes) -> MarkedDict:
    """The top-level mapping of one file, every value marked with its place.  JobProblems holds every fault."""
    reading = _Reading(file)
    text = _text_of(reading, data)
    value: Any = None
    if text is not None:
        try:
            node = yaml.compose(text, Loader=_Loader)
            value = MarkedDict({}, Place(file, 1), {}) if node is None else reading.value(node, 0)
        except RecursionError:
            reading.fault(0, "lists within lists too deep to read", "Write the record flatter.")
        except yaml.YAMLError as error:
            mark = getattr(error, "problem_mark", None)
            said = getattr(error, "problem", None) or "cannot be read"
            tab = "\t" in (text.splitlines()[mark.line] if mark and mark.line < len(text.splitlines()) else "")
            remedy = (
                "Use spaces, never tabs, to set lines in." if tab else "Check colons, quotes, dashes and spaces here."
            )
            reading.fault(mark.line + 1 if mark else 0, f"not valid YAML: {said}", remedy)
    if not reading.problems and not isinstance(value, MarkedDict):
        reading.fault(1, "the file does not hold named values", "Begin with a line such as  job:")
    if reading.problems:
        raise JobProblems(reading.problems)
    assert isinstance(value, MarkedDict)
    return value


def merge(parts: list[MarkedDict]) -> MarkedDict:
    """The files of one folder as one mapping, joined by top-level key.  The same key in two files is a fault."""
    items: dict[str, Any] = {}
    places: dict[str, Place] = {}
    problems = []
    for part in parts:
        for key, value in part.items():
            if key in items:
                what = f'"{key}" is already written in {places[key]}'
                problems.append(Problem(part.key_places[key], "", what, "Keep each top-level key in one file."))
                continue
            items[key] = value
            places[key] = part.key_places[key]
    if problems:
        raise JobProblems(problems)
    return MarkedDict(items, parts[0].place, places)


def place_at(root: MarkedDict, path: tuple[str | int, ...]) -> Place:
    """The place of the value at ``path``, or of the nearest thing above it that was written."""
    here: Any = root
    place = root.place
    for step in path:
        if isinstance(here, MarkedDict) and step in here:
            place = here.key_places[str(step)]
            here = here[str(step)]
        elif isinstance(here, MarkedList) and isinstance(step, int) and step < len(here):
            here = here[step]
        else:
            break
        place = getattr(here, "place", place) if not isinstance(here, MarkedDict | MarkedList) else place
        if isinstance(here, MarkedDict) and isinstance(step, int):
            place = here.place
    return place
