"""Look-ups in the tables of receptacles on circuits that have several of them."""

from __future__ import annotations

from handover.tables.reader import Looked, NoRow, read_table
from handover.units import Quantity, magnitude, quantity, show


def receptacles_on_shared_circuit(circuit: Quantity, edition: int) -> Looked[tuple[Quantity, ...]]:
    """The ratings (A) that receptacles may have on a circuit of several."""
    table = read_table("receptacle_rating_210_21_B3")
    for row in table.rows:
        if abs(magnitude(circuit, "ampere") - float(row["circuit_a"])) < 1e-9:
            ratings = tuple(quantity(float(each), "ampere") for each in row["receptacles_a"].split("; "))
            return Looked(ratings, f"{table.cited(edition)}, circuit of {row['circuit_a']} A")
    raise NoRow(f"{table.cited(edition)} has no row for a circuit of {show(circuit)}.")


def cord_and_plug_maximum(circuit: Quantity, receptacle: Quantity, edition: int) -> Looked[Quantity]:
    """The largest load (A) with a plug on one receptacle of a circuit of several."""
    table = read_table("cord_and_plug_load_210_21_B2")
    for row in table.rows:
        pair = (magnitude(circuit, "ampere"), magnitude(receptacle, "ampere"))
        if all(
            abs(have - float(row[key])) < 1e-9 for have, key in zip(pair, ("circuit_a", "receptacle_a"), strict=True)
        ):
            source = f"{table.cited(edition)}, {row['receptacle_a']} A receptacle on a circuit of {row['circuit_a']} A"
            return Looked(quantity(float(row["load_a"]), "ampere"), source)
    raise NoRow(
        f"{table.cited(edition)} has no row for a {show(receptacle)} receptacle on a circuit of {show(circuit)}."
    )
