"""Sheets of self-adhesive labels: their geometry, which is data, and which label of a job goes on which place."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from handover.pack import Label
from handover.problems import one_problem
from handover.resources import shipped

_UNPRINTED = 4.2
"""Millimetres at the edge of a sheet that a laser printer does not reach (1/6 in, common practice)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stock:
    """One kind of sheet.  Millimetres; ``left`` and ``top`` are the first place's, the pitches from place to place."""

    name: str
    said: str
    page_width: float
    page_height: float
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    across: float
    down: float

    def places(self) -> Iterator[tuple[float, float]]:
        """The upper left corners, row by row."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield self.left + column * self.across, self.top + row * self.down


@dataclass(frozen=True, kw_only=True, slots=True)
class Stuck:
    """A label on a sheet, counted from 0: where its upper left corner comes, and whether it is turned a quarter."""

    label: Label
    sheet: int
    x: float
    y: float
    turned: bool

    @property
    def size(self) -> tuple[float, float]:
        """Width and height as it stands on the sheet."""
        across, down = self.label.width_mm, self.label.height_mm
        return (down, across) if self.turned else (across, down)


@cache
def stocks() -> dict[str, Stock]:
    """All kinds of sheets by name."""
    lines = shipped("site_templates", "label_stock.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {row["name"]: _stock(row) for row in rows}


def wanted_stocks(names: Sequence[str]) -> tuple[Stock, ...]:
    """The kinds of sheets so named.  Raises JobProblems for a name that none has."""
    held = stocks()
    for name in names:
        if name not in held:
            known = "; ".join(f"{stock.name} ({stock.said})" for stock in held.values())
            raise one_problem("", f"no sheet of labels is called {name!r}", f"Known here: {known}.")
    return tuple(held[name] for name in dict.fromkeys(names))


def _stock(row: dict[str, str]) -> Stock:
    names = ("page_width", "page_height", "width", "height", "left", "top", "across", "down")
    sizes = {name: float(row[name]) for name in names}
    return Stock(name=row["name"], said=row["said"], columns=int(row["columns"]), rows=int(row["rows"]), **sizes)


def stuck_on(stock: Stock, labels: Iterable[Label]) -> tuple[tuple[Stuck, ...], tuple[Label, ...]]:
    """The labels that fit a place, each in the middle of its own, in their order; and those that fit none."""
    fits: list[Stuck] = []
    too_large: list[Label] = []
    places = tuple(stock.places())
    for label in labels:
        turned = not _fits(stock, label.width_mm, label.height_mm)
        if turned and not _fits(stock, label.height_mm, label.width_mm):
            too_large.append(label)
            continue
        sheet, place = divmod(len(fits), len(places))
        x, y = places[place]
        across, down = (label.height_mm, label.width_mm) if turned else (label.width_mm, label.height_mm)
        left, top = x + (stock.width - across) / 2, y + (stock.height - down) / 2
        fits.append(Stuck(label=label, sheet=sheet, x=round(left, 2), y=round(top, 2), turned=turned))
    return tuple(fits), tuple(too_large)


def _fits(stock: Stock, across: float, down: float) -> bool:
    """Whether so large an art fits a place, and the printer reaches all of it at the edge of the sheet.

    Places lie in the middle of their sheet, so the right and the lower margin are as the left and the upper one.
    """
    spare_across, spare_down = (stock.width - across) / 2, (stock.height - down) / 2
    reached = stock.left + spare_across >= _UNPRINTED and stock.top + spare_down >= _UNPRINTED
    return spare_across >= 0 and spare_down >= 0 and reached
