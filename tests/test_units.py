"""Text to quantity and back, and our short unit list against pint's own full registry."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handover import units
from handover.units import UnitProblem, magnitude, number_text, quantity, read_number, read_quantity, show, ureg

FULL = pint.UnitRegistry(autoconvert_offset_to_baseunit=False)

# Our name -> the same unit in pint's registry, where the names differ.
SAME_IN_PINT = {
    "pound_inch": "force_pound * inch",
    "pound_foot": "force_pound * foot",
    "pound_force": "force_pound",
    "newton_meter": "newton * meter",
    "cubic_inch": "inch ** 3",
    "volt_ampere": "volt * ampere",
    "milliohm": "milliohm",
}
NAMES = sorted(
    set(units._WRITTEN_UNITS.values()) | {"circular_mil", "day", "pound_force", "newton", "kelvin", "watt_hour"}
)


@pytest.mark.parametrize("name", NAMES)
def test_each_unit_is_pints_own(name):
    """The registry of pint (default_en.txt) is an independent list; NIST SP 811 stands behind both.

    One and two of each are compared, so that an offset (°F) is seen too.
    """
    for number in (1.0, 2.0):
        ours = ureg.Quantity(number, name).to_base_units()
        theirs = FULL.Quantity(number, SAME_IN_PINT.get(name, name)).to_base_units()
        assert ours.magnitude == pytest.approx(theirs.to(str(ours.units)).magnitude, rel=1e-12)


def test_every_line_of_the_list_is_compared():
    """No unit of units.txt stands outside the comparison above."""
    own = {
        line.split("=")[0].strip()
        for line in (units.Path(units.__file__).with_name("units.txt")).read_text(encoding="utf-8").splitlines()
        if "=" in line and not line.startswith(("#", " ", "@")) and "-" not in line.split("=")[0]
    }
    base = {"meter", "second", "kilogram", "ampere", "kelvin", "radian"}
    assert own - base - set(NAMES) <= {"delta_degree_Fahrenheit"}


@pytest.mark.parametrize("written", sorted(units._WRITTEN_UNITS))
def test_every_way_of_writing_a_unit(written):
    name = units._WRITTEN_UNITS[written]
    assert read_quantity(f"7 {written}", name, "7 x").magnitude == pytest.approx(7)
    assert read_quantity(f"7{written}", name, "7 x").magnitude == pytest.approx(7)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("60 A", "ampere", 60),
        ("60A", "ampere", 60),
        (" 60  A ", "ampere", 60),
        ("10 kA", "ampere", 10_000),
        ("5 mA", "ampere", 0.005),
        ("7.2 kW", "volt_ampere", 7200),
        (".5 A", "ampere", 0.5),
        ("1/2 in", "inch", 0.5),
        ("1-1/4 in", "inch", 1.25),
        ("1 1/4 in", "inch", 1.25),
        ('1-1/4"', "inch", 1.25),
        ("110 ft 6 in", "foot", 110.5),
        ("110ft6in", "foot", 110.5),
        ("110' 6\"", "foot", 110.5),
        ("6 ft 1-1/2 in", "inch", 73.5),
        ("20 in", "foot", 20 / 12),
        ("3 m", "foot", 3 / 0.3048),
        ("75 °C", "degree_Celsius", 75),
        ("-10 °C", "degree_Celsius", -10),
        ("32 °F", "degree_Celsius", 0),
        ("212 deg F", "degree_Celsius", 100),
        ("90°", "degree", 90),
        ("3 %", "percent", 3),
        ("30.3 in3", "cubic_inch", 30.3),
        ("30.3 in³", "cubic_inch", 30.3),
        ("1450 sq ft", "square_foot", 1450),
        ("550 MΩ", "ohm", 5.5e8),
        ("0.2 mΩ", "ohm", 0.0002),
        ("35 lbf-in", "pound_inch", 35),
        ("10 ft-lb", "pound_inch", 120),
        ("20\u00a0A", "ampere", 20),
    ],
)
def test_as_an_electrician_writes(text, unit, value):
    assert read_quantity(text, unit, "60 A").magnitude == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "what"),
    [
        ("60", "ampere", '"60" has no unit'),
        ("1-1/4", "inch", '"1-1/4" has no unit'),
        ("4,5 A", "ampere", '"4,5 A" has a comma in the number'),
        ("1,200 A", "ampere", '"1,200 A" has a comma in the number'),
        ("60 V", "ampere", '"60 V" is in V, which is the wrong kind of unit here'),
        ("60 furlong", "foot", '"furlong" in "60 furlong" is not a unit this record knows'),
        ("60 AWG", "ampere", '"AWG" in "60 AWG" is not a unit this record knows'),
        ("1e3 A", "ampere", '"e" in "1e3 A" is not a unit this record knows'),
        ("12:30", "ampere", '":" in "12:30" is not a unit this record knows'),
        ("0x10 A", "ampere", '"x" in "0x10 A" is not a unit this record knows'),
        ("no", "ampere", '"no" is not a number with a unit'),
        ("A", "ampere", '"A" is not a number with a unit'),
        ("-", "ampere", '"-" is not a number with a unit'),
        ("about 60 A", "ampere", '"about 60 A" is not a number with a unit'),
        ("６０ A", "ampere", '"６０ A" is not a number with a unit'),
        ("20 A 30 A", "ampere", '"20 A 30 A" holds more than one quantity'),
        ("6 in 2 ft", "foot", '"6 in 2 ft" holds more than one quantity'),
        ("6 ft 6 ft", "foot", '"6 ft 6 ft" holds more than one quantity'),
        ("6 ft -2 in", "foot", '"6 ft -2 in" holds more than one quantity'),
        ("6 ft 2", "foot", '"2" in "6 ft 2" has no unit'),
        ("1/0 in", "inch", '"1/0" is not a number this record can hold'),
        ("9999999999 A", "ampere", '"9999999999" is not a number this record can hold'),
        ("", "ampere", "is empty"),
    ],
)
def test_refused_with_the_reason(text, unit, what):
    with pytest.raises(UnitProblem) as found:
        read_quantity(text, unit, "60 A")
    assert found.value.what == what
    assert "60 A" in found.value.remedy


@given(st.text(max_size=40), st.sampled_from(["ampere", "foot", "degree_Celsius"]))
@settings(max_examples=200, deadline=None)
def test_any_text_is_a_quantity_or_a_unit_problem(text, unit):
    try:
        told = str(read_quantity(text, unit, "60 A").units)
    except UnitProblem as problem:
        told = unit if problem.what and problem.remedy else "no reason given"
    assert told == unit


@given(
    st.integers(0, 10_000),
    st.integers(0, 11),
)
@settings(max_examples=100, deadline=None)
def test_feet_and_inches_add_up(feet, inches):
    assert read_quantity(f"{feet} ft {inches} in", "inch", "1 ft").magnitude == pytest.approx(12 * feet + inches)


@pytest.mark.parametrize(("text", "value"), [("1-1/4", 1.25), ("3/4", 0.75), ("6.5", 6.5), ("2 1/2", 2.5), (" 7 ", 7)])
def test_numbers(text, value):
    assert read_number(text) == value


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (60, "ampere", "60 A"),
        (110.5, "foot", "110.5 ft"),
        (0.04, "ohm", "0.04 Ω"),
        (3, "percent", "3%"),
        (90, "degree", "90°"),
        (1234.56, "volt_ampere", "1235 VA"),
        (123456, "volt_ampere", "123456 VA"),
        (2.00004, "volt", "2 V"),
    ],
)
def test_shown_for_people(value, unit, shown):
    assert show(quantity(value, unit)) == shown


def test_shown_in_another_unit():
    assert show(quantity(32, "degree_Fahrenheit"), "degree_Celsius") == "0 °C"
    assert show(quantity(1, "foot"), "inch") == "12 in"


def test_halves_are_rounded_up():
    assert number_text(2.5, digits=1) == "3"
    assert number_text(0.12345) == "0.1235"


def test_plain_number_for_a_formula():
    assert magnitude(quantity(2, "foot"), "inch") == 24
