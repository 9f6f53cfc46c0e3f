"""One fact: its value, how it is known, where it was written; and each kind of value's way of being written."""

from __future__ import annotations

import datetime as dt

import pytest
from pydantic import TypeAdapter, ValidationError

from handover.problems import NOWHERE, Place
from handover.record import facts
from handover.record.facts import Amperes, Basis, CrossSection, Fact, Part, Posted, Wire, Words, YesNo
from handover.record.marked import MarkedDict, MarkedText
from handover.record.supply import Panel, Slot
from handover.record.wiring import TradeSizes
from handover.units import quantity

LINE_3 = Place("job.yaml", 3)
LINE_4 = Place("job.yaml", 4)


def read(kind, data):
    return TypeAdapter(kind).validate_python(data)


def refused(kind, data) -> tuple[str, str]:
    with pytest.raises(ValidationError) as found:
        read(kind, data)
    context = found.value.errors()[0]["ctx"]
    return context["what"], context["remedy"]


def test_a_plain_value_is_recorded():
    fact = read(Fact[Amperes], MarkedText("60 A", LINE_3))
    assert (fact.value, fact.basis, fact.place) == (quantity(60, "ampere"), Basis.RECORDED, LINE_3)
    assert (str(fact), fact.known) == ("60 A", True)


@pytest.mark.parametrize("basis", ["measured", "nameplate", "observed", "document", "told by owner", "inferred"])
def test_how_it_is_known(basis):
    data = MarkedDict({"value": MarkedText("60 A", LINE_4), "basis": basis, "note": "read twice"}, LINE_3, {})
    fact = read(Fact[Amperes], data)
    assert (str(fact), fact.basis, fact.note, fact.place) == ("60 A", Basis(basis), "read twice", LINE_4)


@pytest.mark.parametrize("answer", ["unknown", "not checked", "Unknown", "NOT CHECKED"])
@pytest.mark.parametrize("shape", [lambda a: a, lambda a: {"value": a}, lambda a: {"basis": a}])
@pytest.mark.parametrize("kind", [Fact[Amperes], Fact[Words], Fact[YesNo]])
def test_the_two_honest_answers(answer, shape, kind):
    """They never become a value, not even of a fact that takes any words."""
    fact = read(kind, shape(answer))
    assert (fact.value, fact.known, str(fact)) == (None, False, answer.lower())


def test_what_is_left_out_is_not_recorded():
    assert facts.NOT_RECORDED.basis is Basis.NOT_RECORDED
    assert (str(facts.NOT_RECORDED), facts.NOT_RECORDED.place) == ("not recorded", NOWHERE)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (None, "is left empty"),
        ("?", '"?" does not say what is known'),
        ("n/a", '"n/a" does not say what is known'),
        ({"value": "TBD"}, '"TBD" does not say what is known'),
        ({"basis": "measured"}, "has a basis and no value"),
        ({"value": None}, "has a basis and no value"),
        ({"value": "x", "basis": "not recorded"}, '"not recorded" is not a basis'),
        ({"value": "x", "basis": "guess"}, '"guess" is not a basis'),
        ({"value": "x", "basis": "unknown"}, 'has a value and the basis "unknown"'),
        ({"value": "x", "by": "me"}, '"by" is not part of a fact'),
        ({"value": "x", "note": ["y"]}, "has a note that is not plain text"),
    ],
)
def test_facts_that_say_nothing_are_refused(data, what):
    assert refused(Fact[Words], data)[0] == what


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (facts.Whole, "007", 7),
        (facts.YesNo, "Yes", True),
        (facts.YesNo, "no", False),
        (facts.Date, "2026-02-28", dt.date(2026, 2, 28)),
        (facts.Number, "0.85", 0.85),
        (facts.TradeSize, "1-1/4 in", "1-1/4"),
        (facts.TradeSize, '1 1/4"', "1-1/4"),
        (facts.Code, "C14", "C14"),
        (facts.Volts, "240 V", quantity(240, "volt")),
    ],
)
def test_kinds_of_value(kind, text, value):
    assert read(kind, text) == value


def test_the_two_scales_meet_at_forty_below():
    assert read(facts.Celsius, "-40 °F").to("degree_Celsius").magnitude == pytest.approx(-40)


@pytest.mark.parametrize(
    ("text", "shown"),
    [("6 AWG", "6 AWG"), ("#6", "6 AWG"), ("6awg", "6 AWG"), ("2/0 AWG", "2/0 AWG"), ("250 kcmil", "250 kcmil"),
     ("250 MCM", "250 kcmil")],
)  # fmt: skip
def test_wire_sizes(text, shown):
    assert str(read(Wire, text)) == shown


def test_wire_sizes_rise():
    """The order of NEC Chapter 9 Table 8: 14 AWG smallest, then 1/0 to 4/0, then kcmil."""
    sizes = [read(Wire, text) for text in ("14 AWG", "6 AWG", "1 AWG", "1/0 AWG", "4/0 AWG", "250 kcmil", "500 kcmil")]
    assert sorted(sizes, key=lambda size: size.order) == sizes
    assert len({size.order for size in sizes}) == len(sizes)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (facts.Whole, "-1"), (facts.Whole, "1.0"), (facts.Whole, "1e3"), (facts.Whole, "0o17"),
        (facts.Whole, "1234567"),
        (facts.YesNo, "true"), (facts.YesNo, "y"), (facts.YesNo, "1"),
        (facts.Date, "2026-02-30"), (facts.Date, "26-02-03"), (facts.Date, "2026-2-3"), (facts.Date, "0001-01-01"),
        (facts.Number, "1,5"), (facts.Number, "half"), (facts.Number, "1/0"), (facts.Number, "nan"),
        (facts.Wire, "6"), (facts.Wire, "5/0 AWG"), (facts.Wire, "250 AWG"), (facts.Wire, "16 mm2"),
        (facts.TradeSize, "1-1/4"), (facts.TradeSize, "7/8 in"), (facts.TradeSize, "32 mm"),
        (facts.Code, "c14"), (facts.Code, "14C"), (facts.Code, "C-14"), (facts.Code, "C1234567"), (facts.Code, ""),
        (facts.Amperes, "-1 A"), (facts.Amperes, "9999 kA"), (facts.Celsius, "400 °C"),
        (facts.Words, ""), (facts.Words, "two\nlines"),
        (facts.Amperes, "1" * 101),
    ],
)  # fmt: skip
def test_kinds_of_value_refused(kind, text):
    what, remedy = refused(kind, text)
    assert what
    assert remedy


@pytest.mark.parametrize("data", [["60 A"], {"a": "60 A"}])
def test_one_value_is_wanted(data):
    assert refused(Amperes, data)[0] == "should be one value"


class Lamp(Part):
    """A part as small as can be."""

    watts: Posted[Fact[Words]] = facts.NOT_RECORDED
    place: Posted[Words]


def test_a_part_knows_its_lines():
    made = Lamp.model_validate(MarkedDict({"place": "attic"}, LINE_3, {"place": LINE_4}))
    assert made.written_at == LINE_3
    assert made.place_of("place") == LINE_4
    assert made.place_of("watts") == LINE_3


def test_a_part_keeps_its_lines_when_seen_again():
    made = Lamp.model_validate(MarkedDict({"place": "attic"}, LINE_3, {"place": LINE_4}))
    assert Lamp.model_validate(made).place_of("place") == LINE_4
    assert made.model_copy(update={"place": "hall"}).place_of("place") == LINE_4


def test_a_breaker_of_which_only_the_rating_is_known():
    slot = Slot.model_validate(MarkedDict({"spaces": ["1"], "breaker": MarkedText("60 A", LINE_4)}, LINE_3, {}))
    assert slot.breaker is not None
    assert (str(slot.breaker.rating), slot.breaker.rating.place, slot.breaker.written_at) == ("60 A", LINE_4, LINE_4)


@pytest.mark.parametrize("data", ["unknown", {"value": "20 A", "basis": "observed"}, {"rating": "20 A"}])
def test_ways_to_write_a_breaker(data):
    breaker = Slot.model_validate({"spaces": ["1"], "breaker": data}).breaker
    assert breaker is not None
    assert str(breaker.rating) in ("unknown", "20 A")


def test_parts_are_never_altered():
    made = Lamp(place="attic")
    with pytest.raises(ValidationError):
        made.place = "hall"


def test_every_field_of_a_panel_says_who_may_see_it():
    for name, field in Panel.model_fields.items():
        assert any(isinstance(each, facts.Shown) for each in field.metadata), name


def test_several_trade_sizes_and_a_cross_section():
    assert read(Fact[TradeSizes], "3 in, 1-1/4 in, 2 in").value == ("3", "1-1/4", "2")
    what, _ = refused(Fact[TradeSizes], "3 in, 7 in")
    assert '"7 in" is not a trade size' in what
    assert read(Fact[CrossSection], "1.2 in2").value == quantity(1.2, "square_inch")
