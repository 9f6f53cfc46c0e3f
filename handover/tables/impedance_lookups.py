"""Look-ups for voltage drop and fault current: the impedance that Table 9 prints, and C of the point-to-point method.

Resistances and reactances are physics: they do not change with an edition.  So an edition whose print was not confirmed
is read from the last one that was, and the source says so.
"""

from __future__ import annotations

from handover.record.facts import WireSize
from handover.tables.lookups import Conduit, Metal, ac_impedance, dc_resistance, short_metal, size_of
from handover.tables.reader import Looked, NoRow, read_table
from handover.units import Quantity, magnitude, quantity

_LAST_PRINTED = 2023
_LARGEST_OF_TABLE_8 = WireSize("3", "AWG")


def _printed(edition: int) -> tuple[int, str]:
    """The edition to read physics from, and what to add to the source where that is another."""
    return (edition, "") if edition <= _LAST_PRINTED else (_LAST_PRINTED, f", as printed in {_LAST_PRINTED}")


def direct_resistance(size: WireSize, metal: Metal, edition: int) -> Looked[float]:
    """Direct-current resistance of 1000 ft at 75 °C (Ω), from Table 8 of this edition or the last confirmed one."""
    read, said = _printed(edition)
    found = dc_resistance(size, metal, read)
    return Looked(magnitude(found.value, "ohm"), found.source + said)


def resistance(size: WireSize, metal: Metal, conduit: Conduit, edition: int) -> Looked[float]:
    """Alternating-current resistance of 1000 ft at 75 °C (Ω).

    To 3 AWG from Table 8, of which Table 9 prints the same with fewer digits; above, from Table 9.
    """
    if size.order <= _LARGEST_OF_TABLE_8.order:
        return direct_resistance(size, metal, edition)
    read, said = _printed(edition)
    found = ac_impedance(size, metal, conduit, read)
    return Looked(magnitude(found.value.resistance, "ohm"), found.source + said)


def reactance(size: WireSize, metal: Metal, conduit: Conduit, edition: int) -> Looked[float]:
    """Reactance of 1000 ft at 60 Hz (Ω), Table 9."""
    read, said = _printed(edition)
    # Reactance is the same for both metals; only copper has the resistance of 14 AWG printed beside it.
    found = ac_impedance(size, metal if size != WireSize("14", "AWG") else "copper", conduit, read)
    return Looked(magnitude(found.value.reactance, "ohm"), found.source + said)


def effective_impedance(size: WireSize, metal: Metal, conduit: Conduit, edition: int) -> Looked[float]:
    """Effective impedance of 1000 ft at a power factor of 0.85 (Ω), as Table 9 prints it."""
    read, said = _printed(edition)
    table = read_table("ac_impedance_ch9_t9")
    named = f"{size} {metal}, effective Z at 0.85, {'steel' if conduit == 'steel' else 'PVC'} column"
    printed = next((row[f"z85_{short_metal(metal)}_{conduit}"] for row in table.rows if size_of(row) == size), "")
    if not printed:
        raise NoRow(f"{table.cited(read)} gives no value for {named}.")
    return Looked(float(printed), f"{table.cited(read)}, {named}, per 1000 ft{said}")


def fault_c(size: WireSize, metal: Metal, *, steel: bool) -> Looked[float]:
    """C of the point-to-point method: 1 over the ohms of a foot of the conductor, as the handbooks print it."""
    table = read_table("fault_c_values")
    raceway = "steel" if steel else "nonmagnetic"
    for row in table.rows:
        if size_of(row) == size:
            source = f"{table.title}, {size} {metal}, {raceway}, from memory"
            return Looked(float(row[f"{short_metal(metal)}_{raceway}"]), source)
    raise NoRow(f"{table.title}: no row for {size}.")


def circular_mils_of(size: WireSize) -> float:
    """Area in circular mils, Chapter 9 Table 8."""
    row = next((row for row in read_table("conductor_properties_ch9_t8").rows if size_of(row) == size), None)
    if row is None:
        raise NoRow(f"NEC Chapter 9 Table 8 has no row for {size}.")
    return float(row["circular_mils"])


def ohms(value: float) -> Quantity:
    """``value`` in ohms."""
    return quantity(value, "ohm")
