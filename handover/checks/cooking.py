"""The demand of household cooking appliances by Table 220.55, with its notes 1 to 3."""

from __future__ import annotations

import math

from handover.checks.case import Case, Undecided
from handover.checks.service_parts import Item, added, sum_of, va
from handover.tables.load_lookups import CookingColumn, cooking_demand, cooking_percent
from handover.units import magnitude, show

_TABLE_FROM, _B_FROM, _C_FROM, _NOTES_FROM, _TABLE_TO = 1750.0, 3500.0, 8750.0, 12000.0, 27000.0


def cooking_load(case: Case, items: list[Item]) -> float:
    """The demand (VA) of ranges, ovens and cooktops: all by column C, or small ones by A and B (note 3), the smaller.

    Up to 1-3/4 kW an appliance is outside the table and counts in full.  Undecided for one above 27 kW.
    """
    if not items:
        return 0.0
    if any(item.each > _TABLE_TO for item in items):
        raise Undecided("A cooking appliance above 27 kW is outside Table 220.55. Count it by hand.")
    outside = [item for item in items if item.each <= _TABLE_FROM]
    in_table = [item for item in items if item.each > _TABLE_FROM]
    demand = _by_table(case, in_table) if in_table else 0.0
    if outside:
        case.step("cooking appliances to 1750 VA, outside the table", "in full", va(sum_of(outside)))
    return demand + sum_of(outside)


def _by_table(case: Case, items: list[Item]) -> float:
    small = [item for item in items if item.each <= _C_FROM]
    large = [item for item in items if item.each > _C_FROM]
    together = _column_c(case, items)
    if not small:
        case.step("ranges", "column C", va(together))
        return together
    parts = [("column A", _percent(case, "a", [item for item in small if item.each < _B_FROM])),
             ("column B", _percent(case, "b", [item for item in small if item.each >= _B_FROM])),
             ("column C", _column_c(case, large))]  # fmt: skip
    apart = sum(value for _, value in parts)
    names, numbers = added(parts)
    case.step(f"note 3, small ones apart: {names}", numbers, va(apart))
    case.step(
        "ranges: the smaller of column C for all, and note 3", f"{together:g}; {apart:g}", va(min(together, apart))
    )
    return min(together, apart)


def _count(items: list[Item]) -> int:
    return sum(item.appliance.units for item in items)


def _percent(case: Case, column: CookingColumn, items: list[Item]) -> float:
    if not items:
        return 0.0
    share = case.looked(
        f"k{column.upper()}",
        f"demand factor, column {column.upper()}",
        cooking_percent(column, _count(items), case.job.edition),
    )
    demand = sum_of(items) * magnitude(share, "percent") / 100
    case.step(f"column {column.upper()}: sum × k{column.upper()}", f"{sum_of(items):g} × {show(share)}", va(demand))
    return demand


def _column_c(case: Case, items: list[Item]) -> float:
    """Column C, 5 % more for each kW, or major fraction, by which the average passes 12 kW: notes 1 and 2."""
    if not items:
        return 0.0
    count = _count(items)
    listed = case.looked("C", f"demand of {count}, column C", cooking_demand(count, case.job.edition))
    demand = magnitude(listed, "volt_ampere")
    average = sum(max(item.each, _NOTES_FROM) * item.appliance.units for item in items) / count
    if average <= _NOTES_FROM:
        return demand
    steps = math.floor((average - _NOTES_FROM) / 1000 + 0.5 + 1e-9)
    raised = demand * (1 + 0.05 * steps)
    case.step("average, each below 12 kW as 12 kW (notes 1 and 2)", f"of {count}", va(average))
    case.step(f"column C × (1 + 5 % × {steps} kW above 12 kW)", f"{demand:g} × {1 + 0.05 * steps:g}", va(raised))
    return raised
