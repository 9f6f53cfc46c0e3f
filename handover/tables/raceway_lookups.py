"""Look-ups in the tables of raceways, supports, burial cover and expansion.  Same manner as ``lookups``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from handover.tables.reader import Looked, NoRow, Table, read_table
from handover.units import Quantity, quantity, read_number

Fill = Literal["one", "two", "over two", "nipple"]
"""Which percentage of Table 1 holds: by the number of conductors, or 60 percent in a nipple."""
_FILL_COLUMNS: dict[Fill, str] = {
    "one": "one_wire_53pct_in2",
    "two": "two_wires_31pct_in2",
    "over two": "over_two_wires_40pct_in2",
    "nipple": "nipple_60pct_in2",
}
_FILL_ITEMS: dict[Fill, str] = {
    "one": "fill_one_conductor",
    "two": "fill_two_conductors",
    "over two": "fill_over_two_conductors",
    "nipple": "fill_nipple",
}
CoverColumn = Literal["1", "2", "3", "4", "5"]
"""A column of the cover table: 1 buried directly, 2 rigid or intermediate metal conduit, 3 nonmetallic raceway,
4 residential 120 V branch circuit to 20 A with GFCI, 5 low-voltage irrigation and landscape lighting."""


def fill_percent(fill: Fill, edition: int) -> Looked[Quantity]:
    """The share of the raceway's area (%) that conductors may take."""
    return Looked(*_fill_item(_FILL_ITEMS[fill], "percent", edition))


def nipple_length(edition: int) -> Looked[Quantity]:
    """The longest raceway (in) that counts as a nipple: 60 percent fill, and no adjustment for conductor count."""
    return Looked(*_fill_item("nipple_max_length", "inch", edition))


def _fill_item(item: str, unit: str, edition: int) -> tuple[Quantity, str]:
    table = read_table("raceway_fill_ch9_t1")
    row = next(row for row in table.rows if row["item"] == item)
    where = "" if row["source"] == "Table 1" else f", {row['source']}"
    return quantity(float(row["value"]), unit), f"{table.cited(edition)}{where}"


def raceway_area(method: str, trade_size: str, fill: Fill, edition: int) -> Looked[Quantity]:
    """The area (in²) that conductors may take, as printed for the raceway at that percentage."""
    table = read_table("raceway_dimensions_ch9_t4")
    for row in table.rows:
        if row["raceway"].lower() == method.lower() and row["trade_size"] == trade_size:
            named = f"{method} {trade_size} in, {fill.replace('over two', 'over 2')}"
            if not row[_FILL_COLUMNS[fill]]:
                raise NoRow(f"{table.cited(edition)} as held here gives no value for {named}.")
            area = quantity(float(row[_FILL_COLUMNS[fill]]), "square_inch")
            return Looked(area, f"{table.cited(edition)}, {named}")
    raise NoRow(f"{table.cited(edition)} has no row for {method} {trade_size} in.")


def raceway_diameter(method: str, trade_size: str, edition: int) -> Looked[Quantity]:
    """The inside diameter (in) of a raceway."""
    return _dimension(method, trade_size, ("internal_diameter_in", "inch", "inside diameter"), edition)


def raceway_inside(method: str, trade_size: str, edition: int) -> Looked[Quantity]:
    """The whole cross-section (in²) of a raceway: 100 percent."""
    return _dimension(method, trade_size, ("total_area_in2", "square_inch", "total area"), edition)


def _dimension(method: str, trade_size: str, column: tuple[str, str, str], edition: int) -> Looked[Quantity]:
    table = read_table("raceway_dimensions_ch9_t4")
    key, unit, words = column
    for row in table.rows:
        if row["raceway"].lower() == method.lower() and row["trade_size"] == trade_size:
            if not row[key]:
                break
            return Looked(quantity(float(row[key]), unit), f"{table.cited(edition)}, {method} {trade_size} in, {words}")
    raise NoRow(f"{table.cited(edition)} as held here gives no {words} for {method} {trade_size} in.")


@dataclass(frozen=True, slots=True)
class Support:
    """How far apart supports may be (ft), how near the first to a box or end (in), and under which condition."""

    spacing: Quantity
    first: Quantity
    section: str
    condition: str


@cache
def supports(method: str, trade_size: str | None, edition: int) -> tuple[Looked[Support], ...]:
    """The rows for a raceway or cable, the general one first; the others each ask for a condition.

    ``trade_size`` is None for cables.  Rows that give no spacing, only a longer loose end, are left out.
    """
    table = read_table("raceway_support")
    found = []
    for row in table.rows:
        fits = method in row["methods"].split("; ") and row["max_support_spacing_ft"]
        if not fits or not _within(trade_size, row["trade_size_min"], row["trade_size_max"]):
            continue
        support = Support(
            quantity(float(row["max_support_spacing_ft"]), "foot"),
            quantity(float(row["first_support_within_in"]), "inch"),
            row["nec_section"],
            row["condition"],
        )
        source = f"NEC {row['nec_section']}, {method}" + (f" {trade_size} in" if trade_size else "")
        found.append(Looked(support, source))
    if not found:
        size = f" {trade_size} in" if trade_size else ""
        raise NoRow(f"{table.cited(edition)}: no row for {method}{size}.")
    return tuple(sorted(found, key=lambda each: each.value.condition != "general"))


def loose_end(method: str, trade_size: str, edition: int) -> Looked[Quantity]:
    """How long (in) a flexible end may be without support where it has to move with what it feeds."""
    table = read_table("raceway_support")
    for row in table.rows:
        if (
            method in row["methods"].split("; ")
            and row["condition"].startswith("has to move")
            and _within(trade_size, row["trade_size_min"], row["trade_size_max"])
        ):
            longest = quantity(float(row["first_support_within_in"]), "inch")
            return Looked(longest, f"NEC {row['nec_section']}, {method} {trade_size} in")
    raise NoRow(f"{table.cited(edition)}: no row for a loose end of {method} {trade_size} in.")


def _within(size: str | None, low: str, high: str) -> bool:
    if not low:
        return True
    return size is not None and read_number(low) <= read_number(size) <= read_number(high)


def bend_limit(method: str, edition: int) -> Looked[Quantity]:
    """The most bends (degrees) between pull points in a raceway.  NoRow for a cable: it is not pulled in."""
    table = read_table("raceway_support")
    for row in table.rows:
        if method in row["methods"].split("; ") and row["bend_total_limit_deg_between_pull_points"]:
            limit = quantity(float(row["bend_total_limit_deg_between_pull_points"]), "degree")
            return Looked(limit, f"NEC {row['bend_section']}")
    raise NoRow(f"{table.cited(edition)}: no limit on bends for {method}.")


BendColumn = Literal["one-shot and full shoe benders", "other bends"]
_BEND_COLUMNS: dict[BendColumn, str] = {
    "one-shot and full shoe benders": "one_shot_and_full_shoe_in",
    "other bends": "other_bends_in",
}


def bend_radius(trade_size: str, column: BendColumn, edition: int) -> Looked[Quantity]:
    """Least radius (in) of a bend in a raceway, to its center line."""
    table = read_table("raceway_bend_radius_ch9_t2")
    for row in table.rows:
        if row["trade_size"] == trade_size:
            radius = quantity(float(row[_BEND_COLUMNS[column]]), "inch")
            return Looked(radius, f"{table.cited(edition)}, {trade_size} in, {column}")
    raise NoRow(f"{table.cited(edition)} has no row for {trade_size} in.")


@dataclass(frozen=True, slots=True)
class CableBend:
    """How wide a cable's bends have to be: so many times its diameter, and of which kind of it the row speaks."""

    multiple: float
    condition: str


_CABLE_ROWS: dict[str, tuple[str, ...]] = {
    "NM-B": ("NM, NMC",),
    "UF-B": ("UF",),
    "SE": ("SE, USE",),
    "USE-2": ("SE, USE",),
    "AC": ("AC",),
}
_SMOOTH_SHEATHS = ((0.75, "MC smooth sheath up to 3/4 in"), (1.5, "MC smooth sheath over 3/4 to 1-1/2 in"))


def cable_bends(method: str, diameter: Quantity, edition: int) -> tuple[Looked[CableBend], ...]:
    """The rows for a cable, the smaller multiple first.  MC has two: armor with rings, and a smooth sheath."""
    table = read_table("cable_bend_radius")
    if method == "MC":
        inches = diameter.to("inch").magnitude
        smooth = next((name for top, name in _SMOOTH_SHEATHS if inches <= top + 1e-9), "MC smooth sheath over 1-1/2 in")
        wanted: tuple[str, ...] = ("MC interlocked or corrugated armor", smooth)
    else:
        wanted = _CABLE_ROWS.get(method, ())
    found = [
        Looked(
            CableBend(float(row["min_radius_multiple_of_diameter"]), row["cable"]), _bend_source(table, row, edition)
        )
        for row in table.rows
        if row["cable"] in wanted
    ]
    if not found:
        raise NoRow(f"{table.cited(edition)}: no row for {method}.")
    return tuple(sorted(found, key=lambda each: each.value.multiple))


def _bend_source(table: Table, row: dict[str, str], edition: int) -> str:
    table.cited(edition)  # refuses an edition that the table was not read for
    memory = ", from memory" if row["check"] == "from memory" else ""
    return f"NEC {row['nec_section']}{memory}, {row['cable']}"


def cover(location: str, column: CoverColumn, edition: int) -> Looked[Quantity]:
    """Least cover (in), from the top of raceway or cable to finished grade."""
    table = read_table("burial_cover_300_5")
    for row in table.rows:
        if row["location"] == location:
            return Looked(quantity(float(row[column]), "inch"), f"{table.cited(edition)}, {location}, column {column}")
    raise NoRow(f"{table.cited(edition)} has no row for: {location}.")


def pvc_coefficient(edition: int) -> Looked[float]:
    """How much PVC conduit grows: inches for each inch and °F."""
    return _pvc("coefficient_in_per_in_per_f", edition)


def expansion_trigger(edition: int) -> Looked[Quantity]:
    """The change in length (in) from which a straight PVC run between fixed points needs an expansion fitting."""
    found = _pvc("expansion_fitting_trigger", edition)
    return Looked(quantity(found.value, "inch"), found.source)


def sun_allowance(edition: int) -> Looked[float]:
    """°F that makers of PVC conduit add for direct sun: advice, not code."""
    return Looked(_pvc("manufacturer_advice_direct_sun_allowance", edition).value, "conduit makers' advice")


def _pvc(item: str, edition: int) -> Looked[float]:
    table = read_table("pvc_expansion_constants_352_44")
    row = next(row for row in table.rows if row["item"] == item)
    return Looked(float(row["value"]), table.cited(edition))
