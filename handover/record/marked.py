"""Values that remember where in the job folder they were written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from handover.problems import Place


class MarkedText(str):
    """A scalar as written, with its place."""

    place: Place

    def __new__(cls, text: str, place: Place) -> MarkedText:
        """The same text, remembering where it stood."""
        made = super().__new__(cls, text)
        made.place = place
        return made


class MarkedList(list[Any]):
    """A YAML sequence, with the place where it begins and the place of each item."""

    def __init__(self, items: list[Any], place: Place, item_places: Sequence[Place] = ()) -> None:
        super().__init__(items)
        self.place = place
        self.item_places = tuple(item_places)


class MarkedDict(dict[str, Any]):
    """A YAML mapping, with the place where it begins and the place of each key."""

    def __init__(self, items: dict[str, Any], place: Place, key_places: dict[str, Place]) -> None:
        super().__init__(items)
        self.place = place
        self.key_places = key_places


def place_at(root: MarkedDict, path: tuple[str | int, ...]) -> Place:
    """The place of the value at ``path``, or of the nearest thing above it that was written.

    A value on a line below its key is found at its key, where one would look for it; an item of a list at its own line.
    """
    here: Any = root
    place = root.place
    for step in path:
        if isinstance(here, MarkedDict) and step in here:
            place = here.key_places.get(str(step), place)
        elif isinstance(here, MarkedList) and isinstance(step, int) and step < len(here.item_places):
            place = here.item_places[step]
        else:
            break
        here = here[step]
    return place
