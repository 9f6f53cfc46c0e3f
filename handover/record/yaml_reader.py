"""YAML text to plain values that remember their file and line.  First stage of the journey.

Every scalar stays the text that was written (``12:30``, ``no``, ``1e3``, ``0o17`` and dates never change meaning);
the models give it meaning later.  All faults of all files are reported at once.

The parser's events are read, not its finished values: only they show an anchor or a tag that would otherwise vanish
silently, and with them nothing can be made larger than the file that is read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml

from handover.problems import JobProblems, Place, Problem
from handover.record.marked import MarkedDict, MarkedList, MarkedText
from handover.record.yaml_faults import fault_of

try:
    from yaml import CSafeLoader as _Loader
except ImportError:  # a PyYAML built without libyaml: slower, same result
    from yaml import SafeLoader as _Loader  # type: ignore[assignment]

MAX_BYTES = 2_000_000
MAX_DEPTH = 40
MAX_NODES = 100_000
MAX_TEXT = 20_000
MAX_KEY = 100

# What YAML may hold at all: production c-printable of the YAML specification 1.2.2, section 5.1.
_NOT_YAML = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Invisible or direction-changing characters, and those that a page or drawing (XML 1.0, section 2.2) may not hold.
_STRANGE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ufffe\uffff"
    "\ud800-\udfff\U000e0000-\U000e007f]"
)
_EMPTY = ("", "~", "null", "Null", "NULL")


class _EnoughError(Exception):
    """The file is too large to go on with; the fault is noted already."""


class _Reading:
    """One file being turned from YAML events into marked values, with the faults found on the way."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.nodes = 0
        self.events: Iterator[yaml.Event] = iter(())
        self.lines: list[str] = []

    def fault(self, line: int, what: str, remedy: str) -> None:
        self.problems.append(Problem(Place(self.file, line), "", what, remedy))

    def document(self, text: str) -> Any:
        """The one value of the file; None where it holds none."""
        self.events = iter(yaml.parse(text, Loader=_Loader))
        self.lines = re.split("\r\n|[\r\n\x85\u2028\u2029]", text)  # where the parser, too, counts a line
        value: Any = MarkedDict({}, Place(self.file, 1), {})
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    line = _line(event)
                    self.fault(line, "a second document begins here (---)", "Delete the line of dashes.")
                    break
                value = self.value(next(self.events), 0)
        return value

    def value(self, event: yaml.Event, depth: int) -> Any:
        """The value that begins with ``event``; the events that belong to it are used up."""
        line = _line(event)
        self.nodes += 1
        if self.nodes > MAX_NODES:
            self.fault(line, f"more than {MAX_NODES} values in one file", "Split the job into several folders.")
            raise _EnoughError
        if depth > MAX_DEPTH:
            self.fault(line, f"lists within lists deeper than {MAX_DEPTH} levels", "Write the record flatter.")
            raise _EnoughError
        if isinstance(event, yaml.AliasEvent):
            self.fault(
                line,
                f"*{event.anchor} is read as an alias, and aliases are not used in a job record",
                f'Write the value out in each place; a text that begins with a star needs quotes: "*{event.anchor}"',
            )
            return None
        assert isinstance(event, yaml.NodeEvent)
        if event.anchor is not None:
            self.fault(
                line,
                f"&{event.anchor} is read as an anchor, and anchors are not used in a job record",
                f'Delete it; a text that begins with & needs quotes: "&{event.anchor}"',
            )
        tag = getattr(event, "tag", None)
        if tag is not None:
            self.fault(line, f"the tag {_tag(tag)} is not used in a job record", "Delete it and write the plain value.")
        place = Place(self.file, line)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, place)
        return self.mapping(place, depth) if isinstance(event, yaml.MappingStartEvent) else self.sequence(place, depth)

    def scalar(self, event: yaml.ScalarEvent, place: Place) -> MarkedText | None:
        text = str(event.value)
        if not event.style and self.cut_short(event):
            return None
        if not event.style and text in _EMPTY:
            return None
        if len(text) > MAX_TEXT:
            self.fault(place.line, f"a text of {len(text)} characters", f"Keep one text under {MAX_TEXT} characters.")
            return None
        strange = _STRANGE.search(text)
        if strange is not None:
            self.fault(place.line, _character(strange.group()), "Delete it and type the text again.")
            return None
        return MarkedText(text.strip(), place)

    def cut_short(self, event: yaml.ScalarEvent) -> bool:
        """Whether a number sign right before a number, as in  bedroom #2 , has turned the rest into a comment."""
        end = event.end_mark
        assert end is not None
        line = self.lines[end.line] if end.line < len(self.lines) else ""
        lost = re.match(r"\s+(#\d.*)", line[end.column :])
        if lost is None:
            return False
        what = f"{lost[1][:40]} is read as a comment and would be lost"
        self.fault(end.line + 1, what, 'Put the whole text in quotes:  says: "bedroom #2"')
        return True

    def sequence(self, place: Place, depth: int) -> MarkedList:
        items: list[Any] = []
        places: list[Place] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            places.append(Place(self.file, _line(event)))
            items.append(self.value(event, depth + 1))
        return MarkedList(items, place, places)

    def mapping(self, place: Place, depth: int) -> MarkedDict:
        items: dict[str, Any] = {}
        key_places: dict[str, Place] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            line = _line(event)
            key = self.key(event, depth)
            value = self.value(next(self.events), depth + 1)
            if key is None:
                continue
            if key in items:
                first = key_places[key].line
                self.fault(line, f'"{key}" is written twice here (first on line {first})', "Keep one of the two.")
                continue
            items[key] = value
            key_places[key] = Place(self.file, line)
        return MarkedDict(items, place, key_places)

    def key(self, event: yaml.Event, depth: int) -> str | None:
        """A key as plain text; None, with the fault noted, where it is none."""
        line = _line(event)
        if isinstance(event, yaml.ScalarEvent) and not event.style and event.value == "<<":
            self.fault(line, "merge keys (<<) are not used in a job record", "Write the values out in each place.")
            return None
        before = len(self.problems)
        key = self.value(event, depth + 1)
        if len(self.problems) > before:
            return None
        if not isinstance(key, MarkedText) or not 0 < len(key) <= MAX_KEY or "\n" in key:
            self.fault(line, "a key that is not a plain word", "Write keys as plain words followed by a colon.")
            return None
        return str(key)


def _line(event: yaml.Event) -> int:
    assert event.start_mark is not None
    return int(event.start_mark.line) + 1


def _tag(tag: str) -> str:
    return tag.replace("tag:yaml.org,2002:", "!!")[:60]


def _character(character: str) -> str:
    return f"an invisible or control character (U+{ord(character):04X})"


def _text_of(reading: _Reading, data: bytes) -> str | None:
    if len(data) > MAX_BYTES:
        reading.fault(
            0, f"the file is larger than {MAX_BYTES // 1_000_000} MB", "A job file is text; check what it is."
        )
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = _line_of(data[: error.start].decode("utf-8", "replace"))
        reading.fault(line, "the file is not UTF-8 text", "Save it as UTF-8 in your editor.")
        return None
    strange = _NOT_YAML.search(text)
    if strange is not None:
        line = _line_of(text[: strange.start()])
        reading.fault(line, _character(strange.group()), "Delete it; if there are many, save the file as UTF-8 text.")
        return None
    return text


def _line_of(before: str) -> int:
    return len(re.findall("\r\n|\r|\n", before)) + 1


def read_yaml(file: str, data: bytes) -> MarkedDict:
    """The top-level mapping of one file, every value marked with its place.  JobProblems holds every fault."""
    reading = _Reading(file)
    text = _text_of(reading, data)
    value: Any = None
    if text is not None:
        try:
            value = reading.document(text)
        except _EnoughError:
            pass
        except yaml.YAMLError as error:
            reading.fault(*fault_of(error, text))
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
