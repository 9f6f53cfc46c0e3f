"""What changed from revision to revision, listed by fact and grouped by thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from handover.addresses import folder_of
from handover.differences import Difference, Entry, differences, verdict_changes
from handover.pack import Edition, Issue
from handover.pages.contents import Here, subject_code, things_of
from handover.pages.numbers import verdict_words
from handover.pages.shown import date_text, label_of, plain, said, sentence, spaces_text, table, value_text
from handover.pages.views import Link, Said, Table
from handover.record.evidence import Photo
from handover.record.facts import Fact, Part
from handover.record.installation import Installation
from handover.record.people import Revision
from handover.record.supply import Slot
from handover.record.wiring import Step
from handover.words import tell

_NOTHING = Said(text="Not on record")
_GONE = Said(text="Taken out of the record")
# Lists of the record, and how one of their entries is called.
_ONE_OF = {
    "readings": "Reading", "torques": "Terminal tightened", "materials": "Material", "photos": "Photo",
    "markings": "Marking", "findings": "Finding", "unknowns": "Unknown", "not_checked": "Not checked",
    "answers": "Answer", "confirmed": "Answered question", "retired_codes": "Code no longer used", "slots": "",
    "conductors": "Conductor", "outlets": "Outlet", "path": "Piece of the run", "amendments": "Local change",
    "appliances": "Appliance", "settings": "Setting", "electrodes": "Electrode", "inspections": "Inspection",
    "people": "Person", "landmarks": "Hidden point", "rows": "Row", "marks": "Mark", "advice": "Advice",
}  # fmt: skip
_GROUPS = {
    "job": "The job", "site": "The house", "emergency": "Emergency", "code": "Code in force", "advice": "Advice",
    "service": "Service", "service_load": "Load of the service", "private_notes": "Notes for the owner",
}  # fmt: skip
_FIELDS = {"says": "Directory card says", "feeds": "Feeds", "at": "At", "of": "About", "now": "Where to look now"}
_NAMED_BY = ("name", "what", "terminal", "point", "kind", "role", "reference", "rule", "file")
_ABOUT_A_CODE = ("of", "for_code", "at")
_POSTED = "_posted"


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangeGroup:
    """What changed in one thing: a sentence where it is new or gone, and its facts, before and after."""

    thing: Link
    state: str
    facts: Table | None


@dataclass(frozen=True, kw_only=True, slots=True)
class RevisionStep:
    """From one revision to the next.  ``told`` is what the record says of it."""

    id: str
    heading: str
    told: str
    groups: tuple[ChangeGroup, ...]
    before: Link


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangesPage:
    """Every step from the first kept revision to the present one, the last step first."""

    steps: tuple[RevisionStep, ...]
    posted: bool


def changes_page(here: Here) -> ChangesPage:
    """What this edition tells otherwise than the revisions before it."""
    pack = here.book.pack
    issues = (*pack.earlier, Issue(record=pack.record, results=pack.results))
    steps = [_step(here, before, after) for before, after in pairwise(issues)]
    return ChangesPage(steps=tuple(reversed(steps)), posted=pack.edition is Edition.POSTED)


def issued(revision: Revision) -> str:
    """``Revision 2 of June 12, 2026``."""
    return tell("Revision {number} of {date}", number=revision.number, date=date_text(revision.date))


def earlier_link(here: Here, issue: Issue) -> Link:
    """The first page of an earlier revision."""
    return Link(text=issued(issue.record.revisions[-1]), href=here.to(f"{issue.folder}/index.html"))


def _step(here: Here, before: Issue, after: Issue) -> RevisionStep:
    revision = after.record.revisions[-1]
    return RevisionStep(
        id=f"revision-{revision.number}",
        heading=issued(revision),
        told=revision.what,
        groups=tuple(_groups(here, before, after)),
        before=earlier_link(here, before),
    )


@dataclass
class _Found:
    """What was found about one thing so far."""

    state: str = ""
    facts: list[tuple[Said, Said, Said]] = field(default_factory=list)


def _groups(here: Here, before: Issue, after: Issue) -> Iterator[ChangeGroup]:
    found: dict[str, _Found] = {}
    was, now = things_of(before.record), things_of(after.record)
    for difference in differences(before.record, after.record):
        if _told_by_another(here, difference):
            continue
        key, way = _thing_of(difference)
        group = found.setdefault(key, _Found())
        if not way and key in now and key not in was:
            group.state = "New in this revision."
        elif not way and key in was and key not in now:
            group.state = "No longer there. The page of its code says where to look."
        else:
            group.facts.append((plain(_label(way) or "Whole entry"), *_before_and_after(difference)))
    for one, other in verdict_changes(before.results, after.results):
        group = found.setdefault(subject_code(other.subject), _Found())
        spaces = other.subject.partition("/")[2]
        asked = f"Check: {other.question}" + (f" (space {spaces})" if spaces else "")
        group.facts.append((plain(asked), plain(verdict_words(one)), plain(verdict_words(other))))
    installations = Installation(after.record), Installation(before.record)
    for key, group in found.items():
        name = next((name for one in installations if (name := one.name_of(key)) != key), "")
        href = here.to(folder_of(key)) if key in was or key in now else ""
        lists = Link(text=_GROUPS.get(key) or label_of(key), href="")
        yield ChangeGroup(
            thing=Link(text=name, href=href, code=key) if name else lists,
            state=group.state,
            facts=table("What it says", ("Fact", "Before", "Now"), group.facts) if group.facts else None,
        )


def _told_by_another(here: Here, difference: Difference) -> bool:
    """The neutral name stands in the place of the private one in the posted edition already."""
    last = difference.way[-1]
    return not here.book.owner_edition and isinstance(last, str) and last.endswith(_POSTED)


def _thing_of(difference: Difference) -> tuple[str, tuple[str | Entry, ...]]:
    """The code of the thing that a fact belongs to, or the list it stands in; and the way to it from there."""
    first, *rest = difference.way
    if rest and isinstance(rest[0], Entry):
        part = rest[0].part
        if isinstance(code := getattr(part, "code", None), str) and first != "retired_codes":
            return code, tuple(rest[1:])
        about = (getattr(part, name, None) for name in (*_ABOUT_A_CODE, "code"))
        return next((code for code in about if isinstance(code, str)), str(first)), difference.way
    return str(first), tuple(rest)


def _label(way: tuple[str | Entry, ...]) -> str:
    words: list[str] = []
    for place, step in enumerate(way):
        within = way[place + 1] if place + 1 < len(way) else None
        if isinstance(step, Entry):
            called = _called(step)
            words[-1:] = [" ".join(word for word in (words[-1] if words else "", called) if word)]
        elif isinstance(within, Entry):
            words.append(_ONE_OF.get(step, label_of(step)))
        elif step.endswith(_POSTED):
            words.append(
                f"{_FIELDS.get(step.removesuffix(_POSTED)) or label_of(step.removesuffix(_POSTED))}, as posted"
            )
        else:
            words.append(_FIELDS.get(step) or label_of(step))
    return sentence(": ".join(words))


def _called(entry: Entry) -> str:
    part = entry.part
    if isinstance(part, Slot):
        return spaces_text(part)
    if isinstance(part, Step):
        return f"{entry.number} ({part.step})"
    if isinstance(part, Photo):
        return str(entry.number)
    name = next((str(value) for key in _NAMED_BY if (value := getattr(part, key, None))), str(entry.number))
    between = getattr(part, "between", None)
    return f"“{name}, {between}”" if between else f"“{name}”"


def _before_and_after(difference: Difference) -> tuple[Said, Said]:
    before, after = difference.before, difference.after
    if isinstance(before, tuple) and isinstance(after, tuple) and set(before) != set(after):
        before, after = (
            tuple(item for item in before if item not in after),
            tuple(item for item in after if item not in before),
        )
    return _value(before) or _NOTHING, _value(after) or _GONE


def _value(value: Any) -> Said | None:
    if isinstance(value, Fact):
        return said(value)
    if value is None or value in ((), ""):
        return None
    if isinstance(value, Part):
        return plain(_described(value))
    if isinstance(value, tuple):
        return plain("; ".join(value_text(item) for item in value))
    return plain(value_text(value))


def _described(part: Part) -> str:
    """An entry in one line: each of its fields that says something."""
    told = []
    for name, how in type(part).model_fields.items():
        value = getattr(part, name)
        if value is None or value in ((), "") or (not how.is_required() and value == how.default):
            continue
        label = (_FIELDS.get(name) or label_of(name)).lower()
        if isinstance(value, Part):
            told.append(f"{label} ({_described(value)})")
        elif isinstance(value, tuple) and any(isinstance(item, Part) for item in value):
            told.append(f"{label}: {len(value)}")
        elif (shown := _value(value)) is not None:
            told.append(f"{label}: {shown.text}" + (f" ({shown.tag})" if shown.tag else ""))
    return sentence("; ".join(told))
