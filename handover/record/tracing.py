"""How far the entries of a panel can be trusted, in one statement that every page, drawing and note repeats."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from handover.record.facts import Basis
from handover.record.supply import Panel, Slot
from handover.words import later, tell


def spaces_of(slots: Iterable[Slot]) -> str:
    """``1/3, 5``: the spaces of slots as the trade writes them."""
    return ", ".join("/".join(str(space) for space in slot.spaces) for slot in slots)


def untraced(slot: Slot) -> bool:
    """Whether the record says that the wiring was not followed to what it feeds."""
    return slot.traced.value is False or slot.traced.basis in (Basis.UNKNOWN, Basis.NOT_CHECKED)


def _named(slot: Slot) -> bool:
    return bool(slot.says or slot.says_posted)


def from_the_card(slot: Slot) -> bool:
    """Whether an entry was only copied from the panel's card: nobody is on record as having followed the wires."""
    return _named(slot) and not (slot.feeds or slot.blank or slot.traced.value)


@dataclass(frozen=True, slots=True)
class Tracing:
    """The breakers of one panel, by what is known of where they lead.

    ``copied``: a name from the card and no more.  ``nameless``: what they feed is not on record.  ``not_followed``:
    described in the record, which says that nobody followed the wires.  ``followed``: a name, and traced to it.
    """

    copied: tuple[Slot, ...]
    nameless: tuple[Slot, ...]
    not_followed: tuple[Slot, ...]
    followed: tuple[Slot, ...]

    @property
    def doubtful(self) -> bool:
        """Whether there is a breaker that nobody should rely on."""
        return bool(self.copied or self.nameless or self.not_followed)

    def told(self, *, listing: bool = False) -> str:
        """The statement without its full stop, empty where nothing is doubtful.

        ``listing``: with the spaces of what was copied, which a drawing can show and a warning would drown in.
        """
        if not self.doubtful:
            return ""
        parts = [
            self._told_copied(listing=listing),
            _told(self.nameless, later("{spaces} is not identified"), later("{spaces} are not identified")),
            _told(self.not_followed, later("{spaces} is not traced"), later("{spaces} are not traced")),
            _told(self.followed, later("{spaces} is traced"), later("{spaces} are traced")),
        ]
        return "; ".join(part for part in parts if part)

    def _told_copied(self, *, listing: bool) -> str:
        number = len(self.copied)
        if not number:
            return ""
        if number == 1:
            told = tell("1 entry is copied from the card and not traced")
        else:
            told = tell("{number} entries are copied from the card and not traced", number=number)
        return f"{told} ({spaces_of(self.copied)})" if listing else told


def _told(slots: tuple[Slot, ...], one: str, many: str) -> str:
    if not slots:
        return ""
    places = [spaces_of([slot]) for slot in slots]
    if len(slots) == 1 and len(slots[0].spaces) == 1:
        return tell(one, spaces=tell("space {number}", number=places[0]))
    named = f" {tell('and')} ".join(part for part in (", ".join(places[:-1]), places[-1]) if part)
    return tell(many, spaces=tell("spaces {numbers}", numbers=named))


def tracing(panel: Panel) -> Tracing:
    """What is known of each breaker of a panel; what this record describes is doubtful only where it says so."""
    slots = [slot for slot in panel.slots if not slot.blank]
    return Tracing(
        copied=tuple(slot for slot in slots if from_the_card(slot)),
        nameless=tuple(slot for slot in slots if not slot.feeds and not _named(slot)),
        not_followed=tuple(slot for slot in slots if slot.feeds and untraced(slot)),
        followed=tuple(slot for slot in slots if not slot.feeds and _named(slot) and slot.traced.value),
    )
