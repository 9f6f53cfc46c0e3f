"""What one recorded fact is: a value, how it is known, and where it was written.

Also the kinds of value a record holds (amperes, lengths, wire sizes ...), each with its way of being written, and the
marks that say which edition may show a field.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any, Generic, Literal, TypeGuard, TypeVar, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ModelWrapValidatorHandler,
    PrivateAttr,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from handover.problems import NOWHERE, Place
from handover.units import Quantity, UnitProblem, read_number, read_quantity

T = TypeVar("T")


class Shown(StrEnum):
    """Which edition may show a field.  A field without this mark is private (owner edition only)."""

    POSTED = "posted"
    NEUTRAL = "posted under its neutral name"
    OWNER = "owner"


Posted = Annotated[T, Shown.POSTED]
"""A field that anybody who scans the code on the wall may read."""
Neutral = Annotated[T, Shown.NEUTRAL]
"""A field shown in the posted edition as ``<field>_posted`` where the record gives that: for alarms, safes and such."""
Owner = Annotated[T, Shown.OWNER]
"""A field for the owner edition only: people, addresses, serial and permit numbers."""


def mark_of(field: FieldInfo) -> Shown:
    """Which edition may show a field.  A field that nobody marked is private."""
    return next((mark for mark in field.metadata if isinstance(mark, Shown)), Shown.OWNER)


class Basis(StrEnum):
    """How a fact is known.  A plain value in the record is ``recorded``: seen or done by the contractor on the job."""

    RECORDED = "recorded"
    MEASURED = "measured"
    NAMEPLATE = "nameplate"
    OBSERVED = "observed"
    DOCUMENT = "document"
    TOLD_BY_OWNER = "told by owner"
    INFERRED = "inferred"
    UNKNOWN = "unknown"
    NOT_CHECKED = "not checked"
    NOT_RECORDED = "not recorded"
    NOT_SHOWN = "not shown in this edition"


_WITHOUT_VALUE = (Basis.UNKNOWN, Basis.NOT_CHECKED)
# Written in place of a fact these would pass for a known value, and nobody could tell what was meant.
_SAYS_NOTHING = frozenset({"?", "??", "???", "-", "--", "n/a", "na", "tbd", "todo", "not known", "don't know", "unk"})
_WRITABLE = tuple(basis.value for basis in Basis if basis not in (Basis.NOT_RECORDED, Basis.NOT_SHOWN))


def fault(what: str, remedy: str) -> PydanticCustomError:
    """A validation error that carries its own remedy; the reader turns it into a Problem with a place."""
    return PydanticCustomError("record", "{what}", {"what": what, "remedy": remedy})


class Fact(Generic[T]):
    """One fact: its value (None where not known), how it is known, how it was written, and where.

    Not a dataclass, because pydantic would then read its fields instead of asking it how it is written.
    """

    __slots__ = ("basis", "note", "place", "value", "written")

    def __init__(
        self,
        value: T | None,
        basis: Basis = Basis.NOT_RECORDED,
        written: str = "",
        note: str | None = None,
        place: Place = NOWHERE,
    ) -> None:
        self.value = value
        self.basis = basis
        self.written = written
        self.note = note
        self.place = place

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Fact) and (self.value, self.basis) == (other.value, other.basis)

    def __hash__(self) -> int:
        return hash((str(self.value), self.basis))

    def __repr__(self) -> str:
        return f"Fact({self.written or self.value!r}, {self.basis.value})"

    @property
    def known(self) -> bool:
        """Whether there is a value to reckon with."""
        return self.value is not None

    def __str__(self) -> str:
        return self.written if self.known else str(self.basis)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        inner = handler.generate_schema(get_args(source)[0])
        return core_schema.no_info_wrap_validator_function(_read_fact, inner)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        value = handler(schema["schema"])
        with_basis = {
            "type": "object",
            "properties": {"value": value, "basis": {"enum": list(_WRITABLE)}, "note": {"type": "string"}},
            "additionalProperties": False,
        }
        return {"anyOf": [value, {"enum": [basis.value for basis in _WITHOUT_VALUE]}, with_basis]}


def _read_fact(data: Any, inner: Callable[[Any], Any]) -> Fact[Any]:
    place = getattr(data, "place", NOWHERE)
    if isinstance(data, Fact):
        return data
    if isinstance(data, dict) and ("value" in data or "basis" in data):
        return _read_fact_with_basis(data, inner, place)
    if _says_no_value(data):
        return Fact(None, Basis(data.lower()), place=place)
    _refuse_nothing(data)
    return Fact(inner(data), Basis.RECORDED, _as_written(data), place=place)


def _says_no_value(data: Any) -> TypeGuard[str]:
    return isinstance(data, str) and data.lower() in _WITHOUT_VALUE


def _refuse_nothing(data: Any) -> None:
    if data is None:
        raise fault("is left empty", "Write a value, or  unknown , or  not checked .")
    if isinstance(data, str) and data.lower() in _SAYS_NOTHING:
        raise fault(f'"{data}" does not say what is known', "Write a value, or  unknown , or  not checked .")


def _read_fact_with_basis(data: dict[str, Any], inner: Callable[[Any], Any], place: Place) -> Fact[Any]:
    extra = set(data) - {"value", "basis", "note"}
    if extra:
        raise fault(f'"{min(extra)}" is not part of a fact', "A fact has  value ,  basis  and, if wanted,  note .")
    basis = str(data.get("basis", Basis.RECORDED.value)).lower()
    if basis not in _WRITABLE:
        raise fault(f'"{basis}" is not a basis', f"Write one of: {', '.join(_WRITABLE)}.")
    note = data.get("note")
    if not isinstance(note, str | None):
        raise fault("has a note that is not plain text", "Write the note on the line, after  note: .")
    note = None if note is None else str(note)
    value = data.get("value")
    if _says_no_value(value):
        basis, value = value.lower(), None
    if Basis(basis) in _WITHOUT_VALUE:
        if value is not None:
            raise fault(f'has a value and the basis "{basis}"', "Leave out the value, or write how it is known.")
        return Fact(None, Basis(basis), note=note, place=place)
    if value is None:
        raise fault("has a basis and no value", "Add  value: , or write  unknown .")
    _refuse_nothing(value)
    return Fact(inner(value), Basis(basis), _as_written(value), note, getattr(value, "place", place))


def _as_written(data: Any) -> str:
    return ", ".join(str(item) for item in data) if isinstance(data, list) else str(data)


class Part(BaseModel):
    """A piece of the record.  Unknown keys are refused, nothing is altered later, and it knows its place."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)
    _place: Place = PrivateAttr(default=NOWHERE)
    _key_places: dict[str, Place] = PrivateAttr(default_factory=dict)

    @property
    def written_at(self) -> Place:
        """Where in the job folder this piece begins."""
        return self._place

    def place_of(self, key: str) -> Place:
        """Where in the job folder one key of this piece is written; where the piece begins if it is left out."""
        return self._key_places.get(key, self._place)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_place(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        made = handler(data)
        if not isinstance(data, Part):  # one that was made before keeps its place
            made._place = getattr(data, "place", NOWHERE)
            made._key_places = getattr(data, "key_places", {})
        return made


NOT_RECORDED: Fact[Any] = Fact(None)
"""The default of a fact that the record may leave out: neither known nor said to be unknown."""
NOT_SHOWN: Fact[Any] = Fact(None, Basis.NOT_SHOWN)
"""What stands in the posted edition for a private fact, whether or not it is known."""


_LONGEST_VALUE = 100  # characters; no number, date, size or code comes near it


class Written:
    """A pydantic annotation for a value read from text by ``read``; ``example`` shows how to write it."""

    def __init__(self, read: Callable[[str], Any], example: str, pattern: str | None = None) -> None:
        self.read = read
        self.example = example
        self.pattern = pattern

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.validate)

    def json_schema(self) -> dict[str, Any]:
        """The JSON Schema of one such value, for editors."""
        # An editor reads  14  or  2026-06-12  as a number or date where our reader keeps the text, so both are allowed.
        shape: dict[str, Any] = {"type": ["string", "number"], "examples": [self.example]}
        return shape | ({"pattern": self.pattern} if self.pattern else {})

    def validate(self, data: Any) -> Any:
        """The value of ``data``, or a validation error that says how to write it."""
        if data is None:
            raise fault("is left empty", f"Write it like: {self.example}   or delete the line.")
        if isinstance(data, list | dict):
            raise fault("should be one value", f"Write it like: {self.example}")
        if len(str(data)) > _LONGEST_VALUE:
            raise fault("is too long for one value", f"Write it like: {self.example}")
        try:
            return self.read(str(data))
        except UnitProblem as problem:
            raise fault(problem.what, problem.remedy) from None


def _quantity(unit: str, example: str, low: float = 0.0, high: float = 1e7) -> Written:
    def read(text: str) -> Quantity:
        value = read_quantity(text, unit, example)
        if not low <= value.magnitude <= high:
            raise UnitProblem(f'"{text}" is out of range', f"Check the number; it should look like: {example}")
        return value

    return Written(read, example)


Amperes = Annotated[Quantity, _quantity("ampere", "60 A", high=1e6)]
Volts = Annotated[Quantity, _quantity("volt", "240 V", high=1e6)]
Power = Annotated[Quantity, _quantity("volt_ampere", "7.2 kW", high=1e8)]
Feet = Annotated[Quantity, _quantity("foot", "110 ft 6 in", high=1e5)]
Inches = Annotated[Quantity, _quantity("inch", "20 in", high=1e5)]
Area = Annotated[Quantity, _quantity("square_foot", "1450 sq ft", high=1e6)]
CrossSection = Annotated[Quantity, _quantity("square_inch", "1.2 in2", high=1e5)]
Volume = Annotated[Quantity, _quantity("cubic_inch", "30.3 in3", high=1e6)]
Degrees = Annotated[Quantity, _quantity("degree", "90°", high=3600)]
Celsius = Annotated[Quantity, _quantity("degree_Celsius", "75 °C", low=-90, high=300)]
Ohms = Annotated[Quantity, _quantity("ohm", "0.2 Ω", high=1e13)]
Torque = Annotated[Quantity, _quantity("pound_inch", "35 lbf-in", high=1e5)]
Percent = Annotated[Quantity, _quantity("percent", "3 %", high=1000)]


def _read_whole(text: str) -> int:
    if not re.fullmatch(r"\d{1,6}", text):
        raise UnitProblem(f'"{text}" is not a whole number', "Write it like: 2")
    return int(text)


def _read_yes_no(text: str) -> bool:
    if text.lower() not in ("yes", "no"):
        raise UnitProblem(f'"{text}" is neither yes nor no', "Write  yes  or  no .")
    return text.lower() == "yes"


def _read_date(text: str) -> dt.date:
    written, remedy = re.fullmatch(r"([0-9]{4})-[0-9]{2}-[0-9]{2}", text), "Write year-month-day, like: 2026-06-12"
    if written is None or not 1850 <= int(written[1]) <= 2200:
        what = "lies outside the years 1850 to 2200" if written else "is not a date"
        raise UnitProblem(f'"{text}" {what}', remedy)
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise UnitProblem(f'"{text}" is not in the calendar', remedy) from None


def _read_number_text(text: str) -> float:
    try:
        return read_number(text)
    except (ValueError, ZeroDivisionError):
        raise UnitProblem(f'"{text}" is not a number', "Write it like: 0.9") from None


Whole = Annotated[int, Written(_read_whole, "2")]
YesNo = Annotated[bool, Written(_read_yes_no, "yes")]
Date = Annotated[dt.date, Written(_read_date, "2026-06-12")]
Number = Annotated[float, Written(_read_number_text, "0.9")]

_AWG = re.compile(r"(?P<size>\d{1,2}|[1-4]/0)\s*(AWG|awg|#)?|#(?P<hash>\d{1,2}|[1-4]/0)")
_KCMIL = re.compile(r"(?P<size>\d{3,4})\s*(kcmil|MCM|mcm)")


@dataclass(frozen=True, slots=True)
class WireSize:
    """A conductor size as the tables name it: ``6`` AWG, ``2/0`` AWG, ``250`` kcmil."""

    size: str
    unit: Literal["AWG", "kcmil"]

    def __str__(self) -> str:
        return f"{self.size} {self.unit}"

    @property
    def order(self) -> float:
        """A number that rises with the conductor: for comparing sizes only."""
        if self.unit == "kcmil":
            return float(self.size)
        return float(self.size[0]) if "/0" in self.size else 1.0 - float(self.size)


def _read_wire(text: str) -> WireSize:
    big = _KCMIL.fullmatch(text)
    if big:
        return WireSize(big["size"], "kcmil")
    small = _AWG.fullmatch(text)
    if not small or not (small["hash"] or text[-1] not in "0123456789"):
        raise UnitProblem(f'"{text}" is not a wire size', "Write it like: 6 AWG   or: 250 kcmil")
    return WireSize(small["size"] or small["hash"], "AWG")


_TRADE = ("3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6")


def read_trade_size(text: str) -> str:
    """A trade size as the tables name it, from ``1-1/4 in``.  UnitProblem for anything else."""
    bare = re.sub(r'\s*(in\.?|inch|")$', "", text).strip().replace(" ", "-")
    if bare == text or bare not in _TRADE:
        raise UnitProblem(f'"{text}" is not a trade size', "Write it like: 3/4 in   or: 1-1/4 in")
    return bare


Wire = Annotated[WireSize, Written(_read_wire, "6 AWG")]
TradeSize = Annotated[str, Written(read_trade_size, "1-1/4 in")]
"""A raceway's trade size as the tables name it, without the unit: ``1-1/4``."""


def _one_line(text: str) -> str:
    if "\n" in text:
        raise fault("runs over more than one line", "Write it on one line.")
    if not text:
        raise fault("is left empty", "Write a few words.")
    return text


def _unmarked(data: Any) -> Any:
    return str(data) if isinstance(data, str) else data


Words = Annotated[str, BeforeValidator(_unmarked), AfterValidator(_one_line)]
"""A name or a short phrase on one line."""
Text = Annotated[str, BeforeValidator(_unmarked)]
"""Free text, perhaps of several lines."""


# A code becomes a folder of the site: not one of the site's own, whose capitals some disks take for small letters.
_OF_THE_SITE = ("ASSETS", "PHOTOS", "SEARCH")


def kept_by_windows(name: str) -> bool:
    """Whether Windows keeps this name of a file or folder for a device (AUX, NUL, COM1 ...): none can be made there."""
    return re.fullmatch(r"(con|prn|aux|nul|(com|lpt)[0-9]) *(\..*)?", name, re.IGNORECASE | re.DOTALL) is not None


def _read_code(text: str) -> str:
    if not re.fullmatch(r"[A-Z][A-Z0-9]{0,6}", text):
        raise UnitProblem(f'"{text}" is not a code', "Write a capital letter, then capitals or digits, like: C14")
    if kept_by_windows(text) or text in _OF_THE_SITE:
        raise UnitProblem(f'"{text}" cannot be a folder of its own on every computer', "Take another code, like: C14")
    return text


Code = Annotated[str, Written(_read_code, "C14", r"^[A-Z][A-Z0-9]{0,6}$")]
"""The short name of a thing: on its label, in its address, and never used again for something else."""
