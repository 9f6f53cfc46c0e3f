"""Look-ups in the demand tables of Article 220, only as the code allows.  Same manner as ``lookups``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handover.tables.reader import Looked, NoRow, Table, read_table
from handover.units import Quantity, quantity

CookingColumn = Literal["a", "b"]
"""A column of percentages: A for appliances under 3-1/2 kW, B from there to 8-3/4 kW."""


@dataclass(frozen=True, slots=True)
class Tier:
    """A part of a load, from ``above`` to ``up_to`` (VA; None: all the rest), and the percentage it counts at."""

    above: float
    up_to: float | None
    percent: float

    def part_of(self, load: float) -> float:
        """How much of ``load`` (VA) lies in this part."""
        return max(0.0, (load if self.up_to is None else min(load, self.up_to)) - self.above)

    def __str__(self) -> str:
        return (
            f"{self.percent:g} % of what is above {self.above:g} VA" if self.above else f"{self.percent:g} % at first"
        )


def lighting_tiers(edition: int) -> Looked[tuple[Tier, ...]]:
    """The parts of a dwelling's lighting, small-appliance and laundry load, and what each counts at."""
    table = read_table("lighting_demand_220_45")
    tiers = tuple(
        Tier(float(row["from_va"]), float(row["to_va"]) if row["to_va"] else None, float(row["percent"]))
        for row in table.rows
    )
    return Looked(tiers, f"{table.cited(edition)}, dwelling units")


def dryer_percent(dryers: int, edition: int) -> Looked[Quantity]:
    """The share (%) of their sum at which so many dryers count."""
    table = read_table("dryer_demand_220_54")
    row, named = _row_for(table, "dryers", dryers, edition)
    percent = float(row["percent"])
    if row["minus_percent_each"]:
        percent -= float(row["minus_percent_each"]) * (dryers - int(row["above"]))
    return Looked(quantity(percent, "percent"), f"{table.cited(edition)}, {named}")


def cooking_percent(column: CookingColumn, appliances: int, edition: int) -> Looked[Quantity]:
    """The share (%) of their sum at which so many small cooking appliances count: columns A and B."""
    table = read_table("cooking_demand_220_55")
    row, named = _row_for(table, "appliances", appliances, edition)
    source = f"{table.cited(edition)}, column {column.upper()}, {named}"
    return Looked(quantity(float(row[f"column_{column}_pct"]), "percent"), source)


def cooking_demand(appliances: int, edition: int) -> Looked[Quantity]:
    """The demand (kVA) of so many ranges to 12 kW: column C.  The table takes kW and kVA for the same."""
    table = read_table("cooking_demand_220_55")
    row, named = _row_for(table, "appliances", appliances, edition)
    each = float(row["column_c_kw_each"]) * appliances if row["column_c_kw_each"] else 0.0
    demand = quantity(float(row["column_c_kw"]) + each, "kilovolt_ampere")
    return Looked(demand, f"{table.cited(edition)}, column C, {named}")


def _row_for(table: Table, what: str, count: int, edition: int) -> tuple[dict[str, str], str]:
    for row in table.rows:
        low, high = row[f"{what}_min"], row[f"{what}_max"]
        if int(low) <= count and (not high or count <= int(high)):
            return row, low if low == high else f"{low} to {high}" if high else f"{low} and more"
    raise NoRow(f"{table.cited(edition)} has no row for {count} {what}.")
