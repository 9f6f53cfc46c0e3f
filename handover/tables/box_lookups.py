"""Look-ups in the tables of volume to allow in boxes.  Same manner as ``lookups``."""

from __future__ import annotations

from handover.record.facts import WireSize
from handover.tables.reader import Looked, NoRow, Table, read_table
from handover.units import Quantity, quantity


def conductor_allowance(size: WireSize, edition: int) -> Looked[Quantity]:
    """Volume (in³) to allow for one conductor.  NoRow above 6 AWG, where boxes are sized otherwise."""
    table = read_table("conductor_volume_314_16_B")
    for row in table.rows:
        if row["item"] == "conductor" and size.unit == "AWG" and row["size_awg"] == size.size:
            volume = quantity(float(row["volume_in3_or_multiple"]), "cubic_inch")
            return Looked(volume, f"{table.cited(edition)}, {size}")
    raise NoRow(f"{table.cited(edition)} has no row for {size}.")


def allowance_multiple(item: str, edition: int) -> Looked[float] | None:
    """How many conductors' volume to allow for clamps, a device yoke, the ground wires: by the table's own item.

    None where the edition did not ask for it yet.
    """
    table: Table = read_table("conductor_volume_314_16_B")
    row = next(row for row in table.rows if row["item"] == item)
    source = f"{table.cited(edition)}, {item.replace('_', ' ')}"
    if row["first_edition"] and edition < int(row["first_edition"]):
        return None
    return Looked(float(row["volume_in3_or_multiple"]), source)
