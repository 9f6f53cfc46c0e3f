"""In the ground and out of it: cover, protection, warning ribbon, sealing."""

from __future__ import annotations

import pytest

from handover.checks.underground import burial_cover, emergence_protection, raceway_sealed, warning_ribbon
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, results, swap, verdict

ALL = "all locations not listed below"
DRIVE = "under a driveway of this dwelling"
STREET = "under a street, road or shared driveway"


def buried(method: str, cover: str, where: str, *, breaker: str = "40 A", volts: str = "240 V") -> str:
    path = f'{{step: straight, length: 40 ft, surroundings: underground, cover: {cover}, cover_location: "{where}"}}'
    return one_circuit(breaker=breaker, volts=volts, run=f"method: {method}, trade_size: 1 in", path=path)


SHALLOW = {"breaker": "{rating: 20 A, gfci: yes}", "volts": "120 V"}


@pytest.mark.parametrize(
    ("method", "where", "other", "inches"),
    [
        ("UF-B", ALL, {}, 24),
        ("RMC", ALL, {}, 6),
        ("IMC", ALL, {}, 6),
        ("PVC schedule 40", ALL, {}, 18),
        ("LFNC-A", ALL, {}, 18),
        ("PVC schedule 40", ALL, SHALLOW, 12),
        ("UF-B", DRIVE, {}, 18),
        ("PVC schedule 80", DRIVE, {}, 18),
        ("UF-B", DRIVE, SHALLOW, 12),
        ("PVC schedule 40", STREET, {}, 24),
        ("RMC", STREET, {}, 24),
        ("UF-B", STREET, {}, 24),
        ("PVC schedule 40", STREET, SHALLOW, 24),
    ],
)
def test_worked_example_lk_300_5(method, where, other, inches):
    """NEC Table 300.5 on a code library's page; exactly at the figure passes, an inch less fails."""
    found = result(burial_cover, buried(method, f"{inches} in", where, **other))
    assert (found.verdict, magnitude(found.limit, "inch")) == ("pass", inches)
    assert verdict(burial_cover, buried(method, f"{inches - 1} in", where, **other)) == "fail"


@pytest.mark.parametrize(
    "other",
    [
        {"breaker": "{rating: 20 A, gfci: yes}"},
        {"breaker": "{rating: 30 A, gfci: yes}", "volts": "120 V"},
        {"breaker": "{rating: 20 A, gfci: no}", "volts": "120 V"},
        {"breaker": "20 A", "volts": "120 V"},
    ],
)
def test_the_shallow_column_is_only_for_protected_small_circuits(other):
    """NEC Table 300.5, column 4: branch circuits of 120 V or less, GFCI, not over 20 A."""
    assert magnitude(result(burial_cover, buried("PVC schedule 40", "12 in", ALL, **other)).limit, "inch") == 18


def test_a_feeder_never_has_the_shallow_column():
    path = f'{{step: straight, length: 9 ft, surroundings: underground, cover: 12 in, cover_location: "{ALL}"}}'
    text = one_feeder(breaker="{rating: 20 A, gfci: yes}", path=path).replace("volts: 240 V", "volts: 120 V")
    assert verdict(burial_cover, text) == "fail"


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (buried("PVC schedule 40", "unknown", ALL), "cover of R1"),
        (buried("EMT", "18 in", ALL), "no column for EMT"),
        (buried("UF-B", "0 in", "under a building"), "raceway"),
        (one_circuit(path="{step: straight, surroundings: underground, cover: 18 in}"), "what lies over"),
        (one_circuit(path="{step: bend, surroundings: underground, degrees: 90°}"), "No straight piece"),
    ],
)
def test_cover_asks_for_what_is_missing(text, asks):
    found = result(burial_cover, text)
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_no_result_above_ground():
    assert results(burial_cover, one_circuit()) == []


# Where it comes out

DUG = f'surroundings: underground, cover: 24 in, cover_location: "{ALL}"'
BURIED = f"{{step: straight, length: 40 ft, {DUG}}}"


def rising(method: str, riser: str, sweep: str = "", *, last: str = "{step: box}", more: str = "") -> str:
    bend = f"{{step: bend, degrees: 90°, radius: 8 in, surroundings: underground{sweep}}}"
    up = f"{{step: straight, length: 3 ft, surroundings: outdoors{riser}}}"
    path = f"{{step: panel, surroundings: indoors}}, {BURIED}, {bend}, {up}, {last}"
    return one_circuit(run=f"method: {method}, trade_size: 1 in", path=path, more=more)


def said(rule: str, answer: str) -> str:
    return f"confirmed: [{{rule: {rule}, subject: R1, answer: {answer}, how: Looked.}}]"


YES, NO = said("emergence_protection", "yes"), said("emergence_protection", "no")
PVC_80 = ", method: PVC schedule 80"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (rising("PVC schedule 40", PVC_80, PVC_80), "pass"),
        (rising("RMC", ""), "pass"),
        (rising("EMT", ""), "pass"),
        (rising("PVC schedule 40", PVC_80), "undecided"),
        (rising("PVC schedule 40", ""), "undecided"),
        (rising("PVC schedule 40", "", more=YES), "pass"),
        (rising("PVC schedule 40", "", more=NO), "fail"),
        (rising("PVC schedule 40", "").replace("surroundings: outdoors", "surroundings: indoors"), "not_applicable"),
        (rising("PVC schedule 40", "").replace("surroundings: outdoors", "note: Up."), "undecided"),
    ],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_a_raceway_that_stands_knocks_where_it_comes_out(text, expected, edition):
    """NEC 300.5(D)(4), from memory; EMT in the list from 2017 on (a continuing-education page)."""
    assert verdict(emergence_protection, text, edition) == expected


RISER = ", method: PVC schedule 80, protected_from: 18 in, protected_to: 8 ft"
ON = "{step: straight, length: 20 ft, surroundings: outdoors}"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (rising("UF-B", RISER), "pass"),
        (rising("UF-B", swap(RISER, "18 in", "17.9 in")), "fail"),
        (rising("UF-B", swap(RISER, "18 in", "unknown")), "undecided"),
        (rising("UF-B", RISER, last=ON), "pass"),
        (rising("UF-B", swap(RISER, "8 ft", "7 ft 11 in"), last=ON), "fail"),
        (rising("UF-B", swap(RISER, "8 ft", "unknown"), last=ON), "undecided"),
        (rising("UF-B", swap(RISER, "8 ft", "3 ft")), "pass"),  # it ends in a box
        (rising("UF-B", RISER, last=swap(ON, "outdoors", "outdoors, method: EMT")), "undecided"),
        (rising("UF-B", swap(RISER, "18 in", "unknown"), PVC_80), "undecided"),
        (rising("UF-B", swap(RISER, "schedule 80", "schedule 40")), "undecided"),
        (rising("UF-B", ""), "undecided"),
        (rising("UF-B", "", more=NO), "fail"),
        (rising("UF-B", "", more=YES), "pass"),
    ],
)
def test_a_cable_is_protected_from_18_inches_below_to_8_feet_above(text, expected):
    """NEC 300.5(D)(1), from memory: 18 in below grade, to 8 ft above or to where it ends."""
    assert verdict(emergence_protection, text) == expected


def test_protection_begins_no_deeper_than_the_cover_that_is_asked():
    """NEC 300.5(D)(1) and Table 300.5: 12 in for a 120 V circuit to 20 A with GFCI."""
    shallow = rising("UF-B", swap(RISER, "18 in", "12 in"))
    assert verdict(emergence_protection, shallow) == "fail"
    small = swap(swap(shallow, "breaker: 40 A", "breaker: {rating: 20 A, gfci: yes}"), "volts: 240 V", "volts: 120 V")
    assert verdict(emergence_protection, small) == "pass"
    found = result(emergence_protection, swap(small, "protected_from: 12 in", "protected_from: 11 in"))
    assert (str(found.verdict), magnitude(found.limit, "inch")) == ("fail", 12)


def test_both_ends_are_judged():
    up = "{step: straight, length: 3 ft, surroundings: outdoors, method: PVC schedule 80}"
    weak = "{step: straight, length: 3 ft, surroundings: outdoors}"
    deep = f"{{step: straight, length: 40 ft, method: PVC schedule 80, {DUG}}}"
    for path, expected in ((f"{up}, {deep}, {up}", "pass"), (f"{weak}, {deep}, {up}", "undecided")):
        text = one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=path)
        assert verdict(emergence_protection, text) == expected
    assert results(emergence_protection, one_circuit()) == []


# Warning ribbon


@pytest.mark.parametrize(("laid", "expected"), [("yes", "pass"), ("no", "fail"), ("unknown", "undecided")])
def test_ribbon_over_a_feeder_is_good_practice(laid, expected):
    """Common practice; NEC 300.5(D)(3) asks it of service conductors alone (from memory)."""
    ribbon = swap(BURIED, "length: 40 ft", f"length: 40 ft, warning_ribbon: {laid}")
    found = result(warning_ribbon, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=ribbon))
    assert (str(found.verdict), found.advice, found.citation.code) == (expected, True, "common practice")
    assert results(warning_ribbon, one_circuit()) == []


def service(entrance: str, more: str = "", replaced: str = "yes") -> str:
    return f"""
service: {{utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, {entrance}
  replaced_on_this_job: {replaced}}}
{more}"""


def test_ribbon_over_service_conductors_is_the_code():
    """NEC 300.5(D)(3), from memory."""
    answers = [
        f"confirmed: [{{rule: warning_ribbon, subject: P1, answer: {word}, how: Seen.}}]" for word in ("yes", "no")
    ]
    dug = "entrance: underground,"
    found = [result(warning_ribbon, service(dug, more)) for more in ("", *answers)]
    assert [str(each.verdict) for each in found] == ["undecided", "pass", "fail"]
    assert not any(each.advice for each in found)
    assert verdict(warning_ribbon, service("", answers[0])) == "undecided"
    assert results(warning_ribbon, service("entrance: overhead,")) == []
    assert results(warning_ribbon, service(dug, replaced="no")) == []


# Sealing


def through(sealed: str, *, where: str = "outdoors", more: str = "") -> str:
    inside = "{step: straight, length: 3 ft, surroundings: indoors}"
    path = f"{inside}, {{step: penetration{sealed}}}, {{step: straight, length: 3 ft, surroundings: {where}}}"
    return one_circuit(path=path, more=more)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (through(", sealed: duct seal"), "pass"),
        (through(""), "undecided"),
        (through(", sealed: unknown"), "undecided"),
        (through(", sealed: not sealed"), "undecided"),
        (through("", more=said("raceway_sealed", "yes")), "pass"),
        (through(", sealed: none", more=said("raceway_sealed", "no")), "fail"),
    ],
)
@pytest.mark.parametrize("where", ["outdoors", "underground"])
def test_sealed_between_inside_and_outside(text, expected, where):
    """NEC 300.7(A), and 300.5(G) in the ground, from memory."""
    found = result(raceway_sealed, swap(text, "surroundings: outdoors", f"surroundings: {where}"))
    assert str(found.verdict) == expected
    assert found.citation.section.startswith("300.5(G)" if where == "underground" else "300.7(A)")
    assert "duct seal" not in found.reason


def test_a_raceway_that_stays_inside_and_a_cable_need_no_seal():
    assert results(raceway_sealed, through("", where="indoors")) == []
    assert results(raceway_sealed, swap(through(""), "method: EMT", "method: UF-B")) == []


def test_the_piece_with_the_least_room_is_told_whichever_comes_first():
    """NEC Table 300.5: 24 in of cover under a street and 18 in elsewhere, over PVC; room is what counts, not depth."""

    def piece(cover: int, where: str) -> str:
        return (
            f'{{step: straight, length: 9 ft, surroundings: underground, cover: {cover} in, cover_location: "{where}"}}'
        )

    deep, shallow = piece(25, STREET), piece(20, ALL)
    for path, named in ((f"{deep}, {shallow}", "step 1"), (f"{shallow}, {deep}", "step 2")):
        found = result(burial_cover, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=path))
        assert (found.verdict, found.value.magnitude, found.limit.magnitude) == ("pass", 25, 24)
        assert named in found.reason
        assert "the cover is 25 in, at least the 24 in asked" in found.reason
    bad = f"{piece(24, STREET)}, {piece(17, ALL)}, {piece(30, STREET)}"
    found = result(burial_cover, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=bad))
    assert (found.verdict, found.value.magnitude, found.limit.magnitude) == ("fail", 17, 18)
    assert "less than the 18 in asked" in found.reason


@pytest.mark.parametrize(
    ("breaker", "volts", "least"),
    [("20 A", "125 V", 12), ("20 A", "126 V", 18), ("21 A", "120 V", 18), ("15 A", "120 V", 12)],
)
def test_the_shallow_column_to_its_limits(breaker, volts, least):
    """NEC Table 300.5, column 4: to 20 A at 120 V, which reaches to 125 V."""
    text = buried("PVC schedule 40", "24 in", ALL, breaker=f"{{rating: {breaker}, gfci: yes}}", volts=volts)
    assert magnitude(result(burial_cover, text).limit, "inch") == least


def test_every_open_end_is_named_and_only_open_ones():
    """NEC 300.5(G), from memory: what is recorded as open is told, what nobody recorded is not."""
    ground = "{{step: straight, length: 9 ft, surroundings: underground{}}}"
    path = ", ".join(ground.format(more) for more in (", sealed: none", "", ", sealed: not yet"))
    found = result(raceway_sealed, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=path))
    assert found.verdict == "undecided"
    assert [given.value for given in found.inputs] == ["step 1 (straight), step 3 (straight)"]
    sealed = path.replace("sealed: none", "sealed: duct seal")
    assert (
        result(raceway_sealed, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=sealed)).verdict
        == "pass"
    )


def test_of_equal_room_the_first_piece_is_told():
    piece = f'{{step: straight, length: 9 ft, surroundings: underground, cover: 20 in, cover_location: "{ALL}"}}'
    found = result(burial_cover, one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=f"{piece}, {piece}"))
    assert found.reason.startswith("At step 1 ")


def test_a_bare_cable_end_beside_a_good_pipe():
    """NEC 300.5(D): both ends of the run are gone over, whichever comes first."""
    cable = "{step: straight, length: 9 ft, surroundings: outdoors}"
    ground = f'{{step: straight, length: 9 ft, surroundings: underground, cover: 24 in, cover_location: "{ALL}"}}'
    plastic = "{step: straight, length: 9 ft, surroundings: outdoors, method: PVC schedule 40, protected_from: 18 in}"
    for path in (
        f"{{step: box}}, {cable}, {ground}, {plastic}, {{step: box}}",
        f"{{step: box}}, {plastic}, {ground}, {cable}, {{step: box}}",
    ):
        found = result(emergence_protection, one_circuit(run="method: UF-B, trade_size: 1 in", path=path))
        assert found.verdict == "undecided"
        assert found.reason.count("step 2") == found.reason.count("step 4") == 1
