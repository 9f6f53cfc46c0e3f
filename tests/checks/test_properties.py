"""What must hold whatever the numbers: longer is never better, more load never mends, more wires never give room."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handover.checks.case import JobUnderCheck
from handover.checks.conductors import conductor_after_correction, conductor_before_correction
from handover.checks.overcurrent import breaker_protects_conductor, continuous_load
from handover.checks.raceways import burial_cover, raceway_fill
from handover.checks.run import all_rules
from handover.checks.voltage_drop import voltage_drop
from handover.record.facts import Basis, Fact
from handover.record.reader import read_job
from handover.record.record import Record
from handover.units import magnitude
from tests.circuit_job import one_circuit
from tests.jobs import result

DEMO = Path(__file__).parents[2] / "demo_property"
SIZES = ("14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG", "4 AWG", "2 AWG", "1/0 AWG")
PVC = "method: PVC schedule 40, trade_size: 2 in, ambient: 30 °C"
quick = settings(max_examples=40, deadline=None)
feet = st.integers(min_value=1, max_value=900)
amperes = st.integers(min_value=1, max_value=300).map(lambda tenths: tenths / 2)


def hots(size: str, count: int = 2) -> str:
    return f"{{role: hot, count: {count}, size: {size}, material: copper, insulation: THWN-2}}"


def straight(length: float) -> str:
    return f"{{step: straight, length: {length} ft, surroundings: indoors, support_spacing: 3 ft}}"


def drop(length: float, load: float, size: str) -> float:
    text = one_circuit(facts=f"load: {load} A, continuous: no", conductors=hots(size), run=PVC, path=straight(length))
    return magnitude(result(voltage_drop, text).value, "percent")


@quick
@given(short=feet, more=feet, load=amperes, size=st.sampled_from(SIZES))
def test_a_longer_run_never_drops_less(short, more, load, size):
    assert drop(short + more, load, size) > drop(short, load, size)


@quick
@given(length=feet, load=amperes, more=amperes, thin=st.integers(0, len(SIZES) - 2))
def test_more_current_never_drops_less_and_thicker_wire_never_more(length, load, more, thin):
    assert drop(length, load + more, SIZES[thin]) > drop(length, load, SIZES[thin])
    assert drop(length, load, SIZES[thin + 1]) < drop(length, load, SIZES[thin])


LOAD_RULES = (
    continuous_load, conductor_before_correction, conductor_after_correction, breaker_protects_conductor, voltage_drop,
)  # fmt: skip


@quick
@given(
    load=amperes, more=amperes, size=st.sampled_from(SIZES), breaker=st.sampled_from(("15 A", "20 A", "30 A", "60 A"))
)
def test_a_bigger_load_never_turns_a_fail_into_a_pass(load, more, size, breaker):
    def verdicts(current: float) -> list[str]:
        text = one_circuit(facts=f"load: {current} A, continuous: yes", conductors=hots(size), breaker=breaker, run=PVC)
        return [str(result(rule, text).verdict) for rule in LOAD_RULES]

    for before, after in zip(verdicts(load), verdicts(load + more), strict=True):
        assert (before, after) != ("fail", "pass")


def fill(count: int, size: str, trade_size: str = "2 in") -> tuple[str, float | None]:
    """Verdict and filled area (in²); no area where the rounding of equal conductors (Chapter 9, Note 7) decides."""
    text = one_circuit(conductors=hots(size, count), run=PVC.replace("2 in", trade_size))
    found = result(raceway_fill, text)
    return str(found.verdict), None if found.value is None else magnitude(found.value, "square_inch")


def never_roomier(before: tuple[str, float | None], after: tuple[str, float | None]) -> bool:
    if before[1] is not None and after[1] is not None and after[1] < before[1]:
        return False
    return (before[0], after[0]) != ("fail", "pass")


@quick
@given(count=st.integers(3, 30), more=st.integers(1, 10), size=st.sampled_from(SIZES))
def test_more_conductors_never_fill_less(count, more, size):
    assert never_roomier(fill(count, size), fill(count + more, size))


@quick
@given(count=st.integers(3, 30), thin=st.integers(0, len(SIZES) - 2))
def test_thicker_conductors_never_fill_less(count, thin):
    assert never_roomier(fill(count, SIZES[thin]), fill(count, SIZES[thin + 1]))


@quick
@given(count=st.integers(3, 30), size=st.sampled_from(SIZES))
def test_a_larger_raceway_is_never_too_small_where_a_smaller_one_was_enough(count, size):
    assert (fill(count, size, "1-1/4 in")[0], fill(count, size)[0]) != ("pass", "fail")


@quick
@given(warm=st.integers(20, 60), more=st.integers(0, 20), count=st.integers(2, 40), extra=st.integers(0, 10))
def test_warmth_and_company_never_let_a_wire_carry_more(warm, more, count, extra):
    def carries(degrees: int, wires: int) -> float:
        text = one_circuit(
            facts="load: 1 A, continuous: no",
            conductors=hots("8 AWG", wires),
            run=f"method: PVC schedule 40, trade_size: 4 in, ambient: {degrees} °C",
        )
        found = result(conductor_after_correction, text)
        return 0.0 if found.value is None else magnitude(found.value, "ampere")  # no such row: nothing is carried

    assert carries(warm + more, count + extra) <= carries(warm, count)


@quick
@given(shallow=st.integers(0, 40), more=st.integers(0, 20))
def test_deeper_is_never_worse(shallow, more):
    def verdict(depth: int) -> str:
        path = (
            f"{{step: straight, length: 20 ft, surroundings: underground, cover: {depth} in, "
            "cover_location: all locations not listed below}"
        )
        return str(result(burial_cover, one_circuit(run=PVC, path=path)).verdict)

    assert (verdict(shallow), verdict(shallow + more)) != ("pass", "fail")


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_job(DEMO)


def scaled(fact: Fact[Any], factor: float) -> Fact[Any]:
    if fact.value is None:
        return fact
    return Fact(fact.value * factor, Basis.NAMEPLATE, "scaled", place=fact.place)


def with_more_load(record: Record, factor: float) -> Record:
    """Every load of a record, typed or on a nameplate, times ``factor``."""
    load = record.service_load
    assert load is not None
    return record.model_copy(
        update={
            "circuits": tuple(each.model_copy(update={"load": scaled(each.load, factor)}) for each in record.circuits),
            "feeders": tuple(
                each.model_copy(
                    update={"load": scaled(each.load, factor), "continuous": scaled(each.continuous, factor)}
                )
                for each in record.feeders
            ),
            "equipment": tuple(
                each.model_copy(
                    update={
                        name: scaled(getattr(each, name), factor)
                        for name in ("current", "power", "set_current", "minimum_circuit_ampacity")
                    }
                )
                for each in record.equipment
            ),
            "service_load": load.model_copy(
                update={
                    "appliances": tuple(
                        each.model_copy(update={"power": scaled(each.power, factor)}) for each in load.appliances
                    )
                }
            ),
        }
    )


def test_more_load_everywhere_never_turns_a_fail_of_the_example_into_a_pass(demo):
    """Over all rules, the whole installation's loads rising together from a twentieth to twentyfold."""
    before: dict[tuple[str, str], str] = {}
    failed = set()
    for step in range(14):
        job = JobUnderCheck(with_more_load(demo, 0.05 * 1.6**step), demo.code.edition)
        now = {(rule.id, each.subject): str(each.verdict) for rule in all_rules() for each in rule(job)}
        turned = {key for key, verdict in now.items() if verdict == "pass" and before.get(key) == "fail"}
        assert turned == set()
        failed |= {key[0] for key, verdict in now.items() if verdict == "fail"}
        before = now
    assert {"continuous_load", "conductor_before_correction", "service_load", "voltage_drop"} <= failed
