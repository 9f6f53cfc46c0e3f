"""The one pint registry, and the way from an electrician's text to a quantity and back.

Job text never reaches pint whole: pint reads ``4,5 A`` as 45 A and knows no ``1-1/4 in`` or ``110 ft 6 in``.  This
module takes the number and the unit apart itself, names what is wrong, and asks pint only for the arithmetic.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

import pint

ureg: pint.UnitRegistry[float] = pint.UnitRegistry(
    Path(__file__).with_name("units.txt"), autoconvert_offset_to_baseunit=False
)
if TYPE_CHECKING:
    Quantity: TypeAlias = pint.Quantity[float]
else:
    Quantity = pint.Quantity

# As written on a job -> the name in units.txt.  Case matters only where the trade makes it matter (mA, MΩ).
_WRITTEN_UNITS = {
    "A": "ampere", "a": "ampere", "amp": "ampere", "amps": "ampere", "mA": "milliampere", "kA": "kiloampere",
    "V": "volt", "v": "volt", "volts": "volt", "kV": "kilovolt", "mV": "millivolt",
    "W": "watt", "w": "watt", "watts": "watt", "kW": "kilowatt", "kw": "kilowatt",
    "VA": "volt_ampere", "kVA": "kilovolt_ampere", "hp": "horsepower", "HP": "horsepower",
    "in": "inch", "in.": "inch", "inch": "inch", "inches": "inch", '"': "inch", "″": "inch",
    "ft": "foot", "ft.": "foot", "foot": "foot", "feet": "foot", "'": "foot", "′": "foot", "yd": "yard",
    "mm": "millimeter", "cm": "centimeter", "m": "meter",
    "ft2": "square_foot", "ft²": "square_foot", "sq ft": "square_foot", "sqft": "square_foot",
    "in2": "square_inch", "in²": "square_inch", "sq in": "square_inch",
    "in3": "cubic_inch", "in³": "cubic_inch", "cu in": "cubic_inch",
    "°F": "degree_Fahrenheit", "F": "degree_Fahrenheit", "deg F": "degree_Fahrenheit",
    "°C": "degree_Celsius", "C": "degree_Celsius", "deg C": "degree_Celsius",
    "°": "degree", "deg": "degree", "degrees": "degree", "%": "percent", "percent": "percent",
    "ohm": "ohm", "ohms": "ohm", "Ω": "ohm", "Ohm": "ohm", "mΩ": "milliohm", "mohm": "milliohm",
    "kΩ": "kiloohm", "kohm": "kiloohm", "MΩ": "megaohm", "Mohm": "megaohm", "megohm": "megaohm", "megohms": "megaohm",
    "s": "second", "sec": "second", "ms": "millisecond", "min": "minute", "h": "hour", "hours": "hour", "hr": "hour",
    "Hz": "hertz",
    "lbf-in": "pound_inch", "lb-in": "pound_inch", "in-lb": "pound_inch", "lbf·in": "pound_inch",
    "lbf-ft": "pound_foot", "lb-ft": "pound_foot", "ft-lb": "pound_foot", "lbf·ft": "pound_foot",
    "N·m": "newton_meter", "Nm": "newton_meter", "N-m": "newton_meter",
}  # fmt: skip

# Quantities are shown in the unit they carry, under these short names.
_SHOWN_UNITS = {
    "ampere": "A", "milliampere": "mA", "kiloampere": "kA", "volt": "V", "kilovolt": "kV", "millivolt": "mV",
    "watt": "W", "kilowatt": "kW", "kilowatt_hour": "kWh", "volt_ampere": "VA", "kilovolt_ampere": "kVA",
    "horsepower": "hp",
    "inch": "in", "foot": "ft", "yard": "yd", "millimeter": "mm", "centimeter": "cm", "meter": "m",
    "square_foot": "ft²", "square_inch": "in²", "cubic_inch": "in³", "circular_mil": "cmil",
    "degree_Fahrenheit": "°F", "degree_Celsius": "°C", "delta_degree_Fahrenheit": "°F", "degree": "°", "percent": "%",
    "ohm": "Ω", "milliohm": "mΩ", "kiloohm": "kΩ", "megaohm": "MΩ", "second": "s", "millisecond": "ms", "minute": "min",
    "hour": "h", "day": "days", "hertz": "Hz", "pound_inch": "lbf·in", "pound_foot": "lbf·ft", "newton_meter": "N·m",
    "dimensionless": "",
}  # fmt: skip

# [0-9], since \d would also take the digits of other scripts.
_NUMBER = r"-?(?:[0-9]+[- ][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_PART = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[^\d\s,;+-][^\d,;]*?(?:(?<=[A-Za-z])[23])?)?\s*(?=$|\d|-\d)")
_BARE_NUMBER = re.compile(rf"\s*{_NUMBER}\s*")
_LARGEST = 10**9


class UnitProblem(ValueError):
    """Text that is not a quantity of the wanted kind: ``what`` is wrong, and the ``remedy``."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what)
        self.what = what
        self.remedy = remedy


def read_number(text: str) -> float:
    """``"1-1/4"``, ``"3/4"``, ``"6.5"`` as a number.  ValueError for anything else."""
    whole, _, rest = text.strip().replace(" ", "-").rpartition("-") if "/" in text else ("", "", text)
    value = Fraction(rest.strip()) + (Fraction(whole) if whole else 0)
    if abs(value) > _LARGEST:
        raise ValueError(text)
    return float(value)


def read_quantity(text: str, unit: str, example: str) -> Quantity:
    """The quantity written in ``text``, in pint unit ``unit``.

    Takes what an electrician writes: ``60 A``, ``1-1/4 in``, ``110 ft 6 in``, ``7.2 kW``, ``32 °F``.
    ``example`` is shown in the remedy.  Raises UnitProblem for a missing, unknown or wrong unit, or no number.
    """
    remedy = f"Write a number and a unit, like: {example}"
    text = text.strip()
    if _BARE_NUMBER.fullmatch(text):
        raise UnitProblem(f'"{text}" has no unit', f"Write the unit too, like: {example}")
    if re.search(r"\d,\d", text):
        raise UnitProblem(f'"{text}" has a comma in the number', f"Write the number without commas, like: {example}")
    position, total = 0, None
    parts: list[str] = []  # units so far: only feet and then inches make one length
    while position < len(text):
        found = _PART.match(text, position)
        if found is None:
            raise UnitProblem(f'"{text}" is not a number with a unit', remedy)
        if not found["unit"]:
            raise UnitProblem(f'"{found["number"]}" in "{text}" has no unit', remedy)
        value = _one(found["number"], found["unit"].strip(), unit, text, remedy)
        written = _WRITTEN_UNITS[found["unit"].strip()]
        feet_then_inches = unit in ("foot", "inch") and [*parts, written] == ["foot", "inch"]
        if parts and (not feet_then_inches or value.magnitude < 0):
            raise UnitProblem(f'"{text}" holds more than one quantity', remedy)
        total = value if total is None else total + value
        position = found.end()
        parts.append(written)
    if total is None:
        raise UnitProblem("is empty", remedy)
    return total


def _one(number: str, written: str, unit: str, text: str, remedy: str) -> Quantity:
    name = _WRITTEN_UNITS.get(written)
    if name is None:
        raise UnitProblem(f'"{written}" in "{text}" is not a unit this record knows', remedy)
    try:
        value: Quantity = ureg.Quantity(read_number(number), name)
        return value.to(unit)
    except pint.DimensionalityError:
        raise UnitProblem(f'"{text}" is in {written}, which is the wrong kind of unit here', remedy) from None
    except (ValueError, ZeroDivisionError):
        raise UnitProblem(f'"{number}" is not a number this record can hold', remedy) from None


def quantity(value: float, unit: str) -> Quantity:
    """A quantity from a number and a pint unit name, for table rows and rules."""
    return ureg.Quantity(value, _unit(unit))


@cache
def _unit(name: str) -> pint.Unit:
    """A unit by name.  pint takes names apart anew for every quantity; a rule makes thousands of a few units."""
    return ureg.Unit(name)


@cache
def _short(unit: pint.Unit) -> str:
    name = str(unit)
    return _SHOWN_UNITS.get(name, name)


def number_text(value: float, digits: int = 4) -> str:
    """A number for people: at most ``digits`` significant digits, whole thousands kept, no trailing zeros."""
    exact = Decimal(repr(float(value)))
    if abs(exact) < Decimal("1e-9"):  # what is left when a temperature is turned from °F
        return "0"
    places = max(0, digits - 1 - exact.adjusted())
    rounded = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    text = format(rounded, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def show(value: Quantity, unit: str | None = None, digits: int = 4) -> str:
    """A quantity for people, in ``unit`` (a pint name) or the unit it carries.  The only place that rounds."""
    if unit is not None:
        value = value.to(_unit(unit))
    short = _short(value.units)
    joint = "" if short in ("%", "°", "") else " "
    return f"{number_text(float(value.magnitude), digits)}{joint}{short}"


def magnitude(value: Quantity, unit: str) -> float:
    """The plain number of ``value`` in ``unit``, for arithmetic with a formula's own units."""
    return _in(value, _unit(unit))


def magnitude_like(value: Quantity, like: Quantity) -> float:
    """The plain number of ``value`` in the unit that ``like`` carries, to compare the two."""
    return _in(value, like.units)


def _in(value: Quantity, unit: Any) -> float:
    # pint converts a quantity anew even into the unit it carries, and rules ask for little else.
    return float((value if value.units == unit else value.to(unit)).magnitude)
