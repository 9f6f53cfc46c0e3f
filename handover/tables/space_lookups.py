"""Look-ups in the table of working space about electrical equipment."""

from __future__ import annotations

from handover.tables.reader import Looked, NoRow, read_table
from handover.units import Quantity, magnitude, quantity

_UNITS = {"ft": "foot", "in": "inch", "A": "ampere"}


def least_working_depth(volts_to_ground: Quantity, edition: int) -> Looked[Quantity]:
    """Depth in front of the equipment.  Up to 150 V to ground it is the same whatever stands opposite."""
    table = read_table("working_space_110_26")
    volts = magnitude(volts_to_ground, "volt")
    for row in table.rows:
        if row["item"] == "depth" and volts <= min(150.0, float(row["voltage_to_ground_max"])):
            return Looked(_value(row), f"{table.cited(edition)}, depth, 0 to 150 V to ground")
    raise NoRow(f"{table.cited(edition)} is read here only up to 150 V to ground.")


def least_working_width(equipment_width: Quantity, edition: int) -> Looked[Quantity]:
    """Width of the space: 30 in, or the equipment's own width where that is more."""
    width, source = _item("width", edition)
    return Looked(max(width, equipment_width.to(width.units)), f"{source}, or the width of the equipment")


def least_headroom(edition: int) -> Looked[Quantity]:
    """Height of the space, for equipment that is not taller itself."""
    return Looked(*_item("height", edition))


def largest_with_less_headroom(edition: int) -> Looked[Quantity]:
    """The largest panel (A) that may have less headroom in a dwelling that was there before."""
    return Looked(*_item("existing_dwelling_headroom_exception", edition))


def dedicated_space(edition: int) -> Looked[Quantity]:
    """How far above a panel the space belongs to the wiring alone, or to the structural ceiling."""
    return Looked(*_item("dedicated_space_height", edition))


def _item(name: str, edition: int) -> tuple[Quantity, str]:
    table = read_table("working_space_110_26")
    row = next(row for row in table.rows if row["item"] == name)
    return _value(row), f"{table.cited(edition)}, {name}"


def _value(row: dict[str, str]) -> Quantity:
    return quantity(float(row["value"]), _UNITS[row["unit"]])
