"""Look-ups in the conductor, overcurrent and grounding tables, only as the code allows them to be read.

Each returns ``Looked``: the value, and table (as the edition at hand numbers it) with row.  A row or cell that is not
there raises ``NoRow``, which names both; nothing is taken from a neighbouring row and nothing is interpolated.
Raceways, cover and supports are in ``raceway_lookups``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from handover.record.facts import WireSize
from handover.tables.reader import Looked, NoRow, Table, read_table
from handover.units import Quantity, magnitude, quantity, show

Column = Literal[60, 75, 90]
"""A temperature column of the ampacity table, in °C."""
Metal = Literal["copper", "aluminum", "copper-clad aluminum"]
BARE = "bare"


def size_of(row: dict[str, str], key: str = "size", unit: str = "unit") -> WireSize:
    """The conductor size that a table row names."""
    return WireSize(row[key], "kcmil" if row[unit] == "kcmil" else "AWG")


def short_metal(metal: Metal) -> Literal["cu", "al"]:
    """How tables head the metal's column; copper-clad aluminum is read with aluminum."""
    return "cu" if metal == "copper" else "al"


def _row(table: Table, size: WireSize, edition: int) -> dict[str, str]:
    for row in table.rows:
        if size_of(row) == size:
            return row
    raise NoRow(f"{table.cited(edition)} has no row for {size}.")


def _cell(table: Table, row: dict[str, str], key: str, named: str, edition: int) -> float:
    if not row[key]:
        raise NoRow(f"{table.cited(edition)} gives no value for {named}.")
    return float(row[key])


@cache
def ampacity(size: WireSize, metal: Metal, column: Column, edition: int) -> Looked[Quantity]:
    """Ampacity (A) before correction and adjustment."""
    table = read_table("ampacity_310_16")
    named = f"{size} {metal}, {column} °C"
    value = _cell(table, _row(table, size, edition), f"{short_metal(metal)}_{column}c_a", named, edition)
    return Looked(quantity(value, "ampere"), f"{table.cited(edition)}, {named}")


def sizes() -> tuple[WireSize, ...]:
    """The sizes of the ampacity table, rising."""
    return tuple(size_of(row) for row in read_table("ampacity_310_16").rows)


def ambient_factor(ambient: Quantity, column: Column, edition: int) -> Looked[float]:
    """Factor for surroundings that are not at 30 °C.  One row for a band of whole degrees; nothing between.

    A temperature between two printed bands (35.6 °C) is read in the warmer one.
    """
    table = read_table("ambient_correction_310_15_B1")
    degrees = magnitude(ambient, "degree_Celsius")
    for row in table.rows:
        if degrees <= float(row["ambient_max_c"]) + 1e-9:
            band = f"{row['ambient_min_c'] or 'up'} to {row['ambient_max_c']} °C"
            factor = _cell(table, row, f"factor_{column}c", f"{band} in the {column} °C column", edition)
            return Looked(factor, f"{table.cited(edition)}, {band}, {column} °C")
    raise NoRow(f"{table.cited(edition)} has no row for {show(ambient, 'degree_Celsius')}.")


def bundling_percent(current_carrying: int, edition: int) -> Looked[Quantity]:
    """What is left of the ampacity (%) with so many current-carrying conductors in one raceway or cable."""
    table = read_table("bundling_adjustment_310_15_C1")
    for row in table.rows:
        if current_carrying >= 1 and (not row["conductors_max"] or current_carrying <= int(row["conductors_max"])):
            span = f"{row['conductors_min']} to {row['conductors_max']}" if row["conductors_max"] else "41 and more"
            source = f"{table.cited(edition)}, {span} conductors"
            if row["conductors_max"] == "3":
                source = f"{table.cited(edition)}: no adjustment for up to 3 conductors"
            return Looked(quantity(float(row["percent_of_ampacity"]), "percent"), source)
    raise NoRow(f"{table.cited(edition)} has no row for {current_carrying} conductors.")


@dataclass(frozen=True, slots=True)
class SmallConductorLimit:
    """The largest overcurrent device (A) for a small conductor, and the condition where the text has one."""

    device: Quantity
    condition: str


def small_conductor_limit(size: WireSize, metal: Metal, edition: int) -> Looked[SmallConductorLimit] | None:
    """The limit of 240.4(D), or None for a size that it does not name."""
    table = read_table("small_conductor_240_4_D")
    for row in table.rows:
        if metal in row["materials"].split("; ") and size_of(row) == size and _in_force(row, edition):
            limit = SmallConductorLimit(quantity(float(row["max_ocpd_a"]), "ampere"), row["condition"])
            return Looked(limit, f"{table.cited(edition)}, {size} {metal}")
    if size.unit == "AWG" and size.order < WireSize("10", "AWG").order:
        raise NoRow(f"{table.cited(edition)} allows no overcurrent device for {size} {metal}.")
    return None


def _in_force(row: dict[str, str], edition: int) -> bool:
    first, last = row.get("first_edition"), row.get("last_edition")
    return (not first or int(first) <= edition) and (not last or edition <= int(last))


@cache
def standard_ratings(edition: int, *, fuse: bool = False) -> Looked[tuple[Quantity, ...]]:
    """The standard ratings (A), rising.  Ratings that only fuses have are left out unless ``fuse``."""
    table = read_table("standard_ratings_240_6_A")
    found = {
        float(row["rating_a"]) for row in table.rows if _in_force(row, edition) and (fuse or row["kind"] != "fuse only")
    }
    return Looked(tuple(quantity(rating, "ampere") for rating in sorted(found)), table.cited(edition))


def is_standard(rating: Quantity, edition: int, *, fuse: bool = False) -> Looked[bool]:
    """Whether ``rating`` is a standard rating of a breaker (or fuse)."""
    ratings = standard_ratings(edition, fuse=fuse)
    amperes = magnitude(rating, "ampere")
    return Looked(any(abs(magnitude(each, "ampere") - amperes) < 1e-9 for each in ratings.value), ratings.source)


def next_up(current: Quantity, edition: int, *, fuse: bool = False) -> Looked[Quantity]:
    """The smallest standard rating that is not below ``current`` (itself, where it is a standard rating)."""
    ratings = standard_ratings(edition, fuse=fuse)
    for rating in ratings.value:
        if magnitude(rating, "ampere") >= magnitude(current, "ampere") - 1e-9:
            return Looked(rating, f"{ratings.source}, {show(rating)}")
    raise NoRow(f"{ratings.source} has no rating as high as {show(current)}.")


def next_down(current: Quantity, edition: int, *, fuse: bool = False) -> Looked[Quantity]:
    """The largest standard rating that is not above ``current``."""
    ratings = standard_ratings(edition, fuse=fuse)
    for rating in reversed(ratings.value):
        if magnitude(rating, "ampere") <= magnitude(current, "ampere") + 1e-9:
            return Looked(rating, f"{ratings.source}, {show(rating)}")
    raise NoRow(f"{ratings.source} has no rating as low as {show(current)}.")


def equipment_grounding_conductor(device: Quantity, metal: Metal, edition: int) -> Looked[WireSize]:
    """Least equipment grounding conductor behind an overcurrent device: the first row not exceeded."""
    table = read_table("equipment_grounding_250_122")
    head = "copper" if metal == "copper" else "aluminum"
    for row in table.rows:
        if magnitude(device, "ampere") <= float(row["ocpd_not_exceeding_a"]) + 1e-9:
            source = f"{table.cited(edition)}, not exceeding {row['ocpd_not_exceeding_a']} A, {head}"
            return Looked(size_of(row, head, f"{head}_unit"), source)
    raise NoRow(f"{table.cited(edition)} has no row for an overcurrent device of {show(device)}.")


def grounding_electrode_conductor(phase: WireSize, phase_metal: Metal, metal: Metal, edition: int) -> Looked[WireSize]:
    """Least grounding electrode conductor of ``metal``, by the largest ungrounded service conductor."""
    table = read_table("grounding_electrode_250_66")
    key = f"{short_metal(phase_metal)}_phase_to"
    for row in table.rows:  # rows rise without a gap, so the first one whose upper end is not passed is the row
        if not row[key] or phase.order <= _written_size(row[key]).order:
            source = f"{table.cited(edition)}, row {row['row']}, {phase} {phase_metal}"
            return Looked(_written_size(row[f"gec_{short_metal(metal)}"]), source)
    raise NoRow(f"{table.cited(edition)} has no row for {phase} {phase_metal}.")


Electrode = Literal["rod, pipe or plate", "concrete-encased electrode"]


def electrode_conductor_cap(electrode: Electrode, metal: Metal, edition: int) -> Looked[WireSize]:
    """The most that a conductor to nothing but this kind of electrode need be: 250.66(A) and (B)."""
    table = read_table("grounding_electrode_caps_250_66")
    for row in table.rows:
        if row["electrode"] == f"sole connection to {electrode}":
            written = row[f"largest_gec_required_{short_metal(metal)}"]
            if written:
                return Looked(_written_size(written), f"NEC {row['section']}, {electrode} alone, {metal}")
    raise NoRow(f"{table.cited(edition)} gives no {metal} size for a {electrode}.")


def _written_size(text: str) -> WireSize:
    size, unit = text.split()
    return WireSize(size, "kcmil" if unit == "kcmil" else "AWG")


def dwelling_service_size(rating: Quantity, metal: Metal, edition: int) -> Looked[WireSize]:
    """Conductor for a service or feeder that carries one whole dwelling, where nothing needs correction."""
    table = read_table("dwelling_service_310_12")
    head = "copper" if metal == "copper" else "aluminum"
    for row in table.rows:
        if abs(magnitude(rating, "ampere") - float(row["service_or_feeder_rating_a"])) < 1e-9:
            source = f"{table.cited(edition)}, {row['service_or_feeder_rating_a']} A, {head}"
            return Looked(size_of(row, head, f"{head}_unit"), source)
    raise NoRow(f"{table.cited(edition)} has no row for {show(rating)}.")


@cache
def _properties(size: WireSize, edition: int, *, stranded: bool = True) -> tuple[Table, dict[str, str], str]:
    table = read_table("conductor_properties_ch9_t8")
    rows = [row for row in table.rows if size_of(row) == size]
    if not rows:
        raise NoRow(f"{table.cited(edition)} has no row for {size}.")
    wanted = "stranded" if stranded else "solid"
    chosen = next((row for row in rows if row["construction"] == wanted), None)
    if chosen is None:
        raise NoRow(f"{table.cited(edition)} has no {wanted} row for {size}.")
    return table, chosen, f"{table.cited(edition)}, {size} {wanted}"


def circular_mils(size: WireSize, edition: int) -> Looked[Quantity]:
    """Area of a conductor in circular mils."""
    _, row, source = _properties(size, edition)
    return Looked(quantity(float(row["circular_mils"]), "circular_mil"), source)


def size_for_circular_mils(needed: Quantity, edition: int) -> Looked[WireSize]:
    """The smallest size with at least so many circular mils."""
    table = read_table("conductor_properties_ch9_t8")
    for row in table.rows:
        if float(row["circular_mils"]) >= magnitude(needed, "circular_mil") * (1 - 1e-9):
            return Looked(size_of(row), f"{table.cited(edition)}, {size_of(row)}, {row['circular_mils']} cmil")
    raise NoRow(f"{table.cited(edition)} has no conductor with {show(needed)}.")


def dc_resistance(size: WireSize, metal: Metal, edition: int, *, stranded: bool = True) -> Looked[Quantity]:
    """Direct-current resistance of 1000 ft at 75 °C (Ω), uncoated copper or aluminum."""
    table, row, source = _properties(size, edition, stranded=stranded)
    head = "cu_uncoated" if metal == "copper" else "al"
    value = _cell(table, row, f"{head}_ohm_per_kft_75c", f"{size} {metal}", edition)
    return Looked(quantity(value, "ohm"), f"{source}, {metal}, per 1000 ft")


@dataclass(frozen=True, slots=True)
class Impedance:
    """Alternating-current resistance and reactance to neutral of 1000 ft, both Ω."""

    resistance: Quantity
    reactance: Quantity


Conduit = Literal["pvc", "al_conduit", "steel"]
_CONDUITS: dict[Conduit, str] = {"pvc": "PVC", "al_conduit": "aluminum conduit", "steel": "steel"}


def ac_impedance(size: WireSize, metal: Metal, conduit: Conduit, edition: int) -> Looked[Impedance]:
    """Resistance and reactance at 75 °C and 60 Hz in the given kind of conduit."""
    table = read_table("ac_impedance_ch9_t9")
    row = _row(table, size, edition)
    named = f"{size} {metal}, {_CONDUITS[conduit]} column"
    resistance = _cell(table, row, f"r_{short_metal(metal)}_{conduit}", named, edition)
    reactance = _cell(table, row, "xl_steel_conduit" if conduit == "steel" else "xl_pvc_or_al_conduit", named, edition)
    impedance = Impedance(quantity(resistance, "ohm"), quantity(reactance, "ohm"))
    return Looked(impedance, f"{table.cited(edition)}, {named}, per 1000 ft")


@dataclass(frozen=True, slots=True)
class Insulation:
    """What a conductor's insulation is good for: °C in dry and in wet places (None: not for wet ones)."""

    dry: Column
    wet: Column | None

    def __str__(self) -> str:
        return f"{self.dry} °C dry, " + (f"{self.wet} °C wet" if self.wet else "not for wet places")


def insulation(marking: str, edition: int) -> Looked[Insulation]:
    """Temperature rating of an insulation as marked.  ``THHN/THWN-2`` has the better of both in each place."""
    table = read_table("insulation_310_4_1")
    rows = [_insulation_row(table, part, edition) for part in _markings(marking)]
    dry = max(int(row["dry_c"]) for row in rows)
    wet = max((int(row["wet_c"]) for row in rows if row["wet_c"]), default=None)
    return Looked(Insulation(_column(dry), None if wet is None else _column(wet)), f"{table.cited(edition)}, {marking}")


def _markings(marking: str) -> list[str]:
    return [part.strip() for part in marking.upper().replace(" OR ", "/").split("/")]


def _insulation_row(table: Table, marking: str, edition: int) -> dict[str, str]:
    for row in table.rows:
        if row["insulation"] == marking:
            return row
    raise NoRow(f"{table.cited(edition)} as held here has no row for the insulation {marking}.")


def _column(degrees: int) -> Column:
    return 60 if degrees == 60 else 75 if degrees == 75 else 90


@cache
def conductor_area(size: WireSize, marking: str, edition: int) -> Looked[Quantity]:
    """Cross-section (in²) of a conductor with its insulation; ``bare`` is read in Table 8 as stranded (the larger).

    RHH and RHW are read with their outer covering, the larger of the two groups, since the record does not tell.
    """
    if marking.lower() == BARE:
        _, row, source = _properties(size, edition)
        return Looked(quantity(float(row["overall_area_in2"]), "square_inch"), f"{source}, bare")
    families = {
        _insulation_row(read_table("insulation_310_4_1"), part, edition)["family"] for part in _markings(marking)
    }
    table = read_table("insulated_conductor_ch9_t5")
    wanted = {f"{each} with outer covering" if each.startswith("RHH") else each for each in families}
    rows = [row for row in table.rows if row["insulation"] in wanted and size_of(row) == size]
    if len(rows) != len(wanted):
        raise NoRow(f"{table.cited(edition)} has no row for {size} {marking}.")
    row = max(rows, key=lambda each: float(each["approx_area_in2"]))
    source = f"{table.cited(edition)}, {row['insulation']}, {size}"
    return Looked(quantity(float(row["approx_area_in2"]), "square_inch"), source)
