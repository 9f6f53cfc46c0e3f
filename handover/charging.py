"""How long a car charges at a set current: for the homeowner, from what was set and the voltage alone."""

from __future__ import annotations

from dataclasses import dataclass

from handover.units import Quantity, magnitude, quantity

LOSS = 0.10
"""The share of what the charger takes that never reaches the battery.  Common practice, not measured here: some 10 %
is what cars lose in their own charger and battery on 240 V; each car differs."""
FROM, TO = 0.20, 0.80
"""How full the battery is at first and at last."""
BATTERIES = (40, 60, 80, 100)
"""Battery sizes that most cars lie between, in kWh; which car comes is not on record."""


@dataclass(frozen=True, slots=True)
class Charge:
    """The time one battery takes from ``FROM`` to ``TO``."""

    battery: Quantity
    time: Quantity


def charging_power(volts: Quantity, current: Quantity) -> Quantity:
    """What the charger takes at the set current: volts times amperes (single-phase, power factor 1), in kW."""
    return quantity(magnitude(volts, "volt") * magnitude(current, "ampere") / 1000, "kilowatt")


def charges(power: Quantity) -> tuple[Charge, ...]:
    """The time for each of ``BATTERIES`` at a power taken from the supply, in hours.  The car may take less power."""
    kept = magnitude(power, "kilowatt") * (1 - LOSS)
    if kept <= 0:
        return ()
    return tuple(
        Charge(
            battery=quantity(size, "kilowatt_hour"),
            time=quantity(size * (TO - FROM) / kept, "hour"),
        )
        for size in BATTERIES
    )
