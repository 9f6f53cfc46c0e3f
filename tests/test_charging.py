"""Charging times, worked by hand: battery x 60 % / (volts x amperes / 1000 x 90 %).  No published value is compared."""

from __future__ import annotations

import pytest

from handover.charging import FROM, LOSS, TO, charges, charging_power
from handover.units import magnitude, quantity, show


def hours(volts, amperes):
    power = charging_power(quantity(volts, "volt"), quantity(amperes, "ampere"))
    return {show(each.battery): round(magnitude(each.time, "hour"), 2) for each in charges(power)}


def test_the_power_is_volts_times_the_set_current():
    """240 V x 32 A = 7680 W."""
    assert show(charging_power(quantity(240, "volt"), quantity(32, "ampere"))) == "7.68 kW"
    assert show(charging_power(quantity(0.208, "kilovolt"), quantity(40, "ampere"))) == "8.32 kW"


def test_the_time_at_32_amperes():
    """7.68 kW x 0.9 = 6.912 kW: 24 / 6.912 = 3.472, 36 / 6.912 = 5.208, 48 / 6.912 = 6.944, 60 / 6.912 = 8.681."""
    assert hours(240, 32) == {"40 kWh": 3.47, "60 kWh": 5.21, "80 kWh": 6.94, "100 kWh": 8.68}


def test_the_time_at_16_amperes_on_120_volts():
    """1.92 kW x 0.9 = 1.728 kW: 24 / 1.728 = 13.889 and so on, four times as long as at 240 V and 32 A."""
    assert hours(120, 16) == {"40 kWh": 13.89, "60 kWh": 20.83, "80 kWh": 27.78, "100 kWh": 34.72}


def test_twice_the_current_takes_half_the_time():
    power = quantity(5, "kilowatt")
    for once, twice in zip(charges(power), charges(2 * power), strict=True):
        assert magnitude(twice.time, "hour") == pytest.approx(magnitude(once.time, "hour") / 2)


def test_no_current_charges_nothing():
    assert charges(quantity(0, "kilowatt")) == ()


def test_what_is_reckoned_with():
    assert (FROM, TO, LOSS) == (0.20, 0.80, 0.10)
