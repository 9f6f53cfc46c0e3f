"""Over the example job: forgetting a fact never turns anything into a pass."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from handover.checks.case import JobUnderCheck, Rule
from handover.checks.run import all_rules, run_checks, stops_build
from handover.record.facts import Basis, Fact, Part
from handover.record.reader import read_job
from handover.record.record import Record
from handover.units import Quantity

DEMO = Path(__file__).parents[2] / "demo_property"
Step = tuple[str, int | None]


def facts_of(part: Part, path: tuple[Step, ...] = ()) -> Iterator[tuple[Step, ...]]:
    """The path of every fact with a value: attribute names, with a position where the attribute is a list."""
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Fact) and value.known:
            yield (*path, (name, None))
        elif isinstance(value, Part):
            yield from facts_of(value, (*path, (name, None)))
        elif isinstance(value, tuple):
            for position, item in enumerate(value):
                if isinstance(item, Part):
                    yield from facts_of(item, (*path, (name, position)))


def put(part: Any, path: tuple[Step, ...], make: Callable[[Fact[Any]], Fact[Any]]) -> Any:
    """The same record with another fact in place of the one at ``path``."""
    (name, position), *rest = path
    value = getattr(part, name)
    if not rest:
        return part.model_copy(update={name: make(value)})
    if position is None:
        return part.model_copy(update={name: put(value, tuple(rest), make)})
    items = list(value)
    items[position] = put(items[position], tuple(rest), make)
    return part.model_copy(update={name: tuple(items)})


class Watched(Fact[Any]):
    """A fact that notes when a rule looks at it."""

    __slots__ = ("seen",)

    def __init__(self, fact: Fact[Any], seen: Callable[[], None]) -> None:
        super().__init__(fact.value, fact.basis, fact.written, fact.note, fact.place)
        self.seen = seen

    def __getattribute__(self, name: str) -> Any:
        if name in ("value", "basis"):
            object.__getattribute__(self, "seen")()
        return object.__getattribute__(self, name)


def verdicts(rule: Rule, record: Record) -> dict[str, str]:
    return {result.subject: str(result.verdict) for result in rule(JobUnderCheck(record, record.code.edition))}


def readers_of_facts(record: Record) -> dict[tuple[Step, ...], list[Rule]]:
    """Which rules look at each fact.  The others cannot change when it is forgotten."""
    paths = list(facts_of(record))
    looked: set[tuple[Step, ...]] = set()
    watched = record
    for path in paths:
        watched = put(watched, path, lambda fact, path=path: Watched(fact, lambda: looked.add(path)))
    readers: dict[tuple[Step, ...], list[Rule]] = {path: [] for path in paths}
    for rule in all_rules():
        looked.clear()
        verdicts(rule, watched)
        for path in looked:
            readers[path].append(rule)
    return readers


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_job(DEMO)


def test_a_result_is_named_by_rule_and_subject_alone(demo):
    named = [(result.rule, result.subject) for result in run_checks(demo)]
    assert len(named) == len(set(named)), [name for name in named if named.count(name) > 1]


def test_nothing_in_the_example_stops_its_build(demo):
    assert [result for result in run_checks(demo) if stops_build(result)] == []


def halved(fact: Fact[Any], _number: int) -> Fact[Any]:
    return scaled(fact, 0.5)


def tripled(fact: Fact[Any], _number: int) -> Fact[Any]:
    return scaled(fact, 3.0)


def every_other_tripled(fact: Fact[Any], number: int) -> Fact[Any]:
    return scaled(fact, 3.0) if number % 2 else fact


def every_other_halved(fact: Fact[Any], number: int) -> Fact[Any]:
    return scaled(fact, 0.5) if number % 2 else fact


def scaled(fact: Fact[Any], factor: float) -> Fact[Any]:
    if not isinstance(fact.value, Quantity) or str(fact.value.units).startswith("degree_"):
        return fact
    return Fact(fact.value * factor, fact.basis, place=fact.place)


def turned(fact: Fact[Any], _number: int) -> Fact[Any]:
    return Fact(not fact.value, fact.basis, place=fact.place) if isinstance(fact.value, bool) else fact


def as_it_is(fact: Fact[Any], _number: int) -> Fact[Any]:
    return fact


def contradicted(record: Record, path: tuple[Step, ...], rule: str) -> bool:
    """Facts that only spoiling sets against another one, where the other is enough by itself.

    A trip current far off beside the result "as expected"; a circuit's load above the nameplate of all that is on it; a
    feeder's load above the sum of its panel, with which its voltage drop is reckoned where none is written; a charger
    set to more than its nameplate. And one that is the code's own order: without a setting the nameplate is the load
    (625.42), and for that larger load the same wires are no longer larger than needed (250.122(B)).
    """
    name = path[-1][0]
    if name in ("set_current", "setting_access") and rule == "equipment_grounding_conductor":
        return True
    if name == "set_current":
        _, number = path[0]
        charger = record.equipment[number]
        return charger.current.known and charger.set_current.value > charger.current.value
    if [step[0] for step in path] == ["feeders", "load"]:
        return rule in ("voltage_drop", "voltage_drop_total")
    return path[-1][0] == "trip_current" or [step[0] for step in path] == ["circuits", "load"]


@pytest.mark.parametrize("spoil", [as_it_is, halved, tripled, every_other_halved, every_other_tripled, turned])
def test_a_forgotten_fact_never_turns_into_a_pass(demo, spoil):
    """Every fact is left out in turn, of the example and of spoiled ones in which most rules do not pass."""
    record = demo
    for number, path in enumerate(facts_of(demo)):
        record = put(record, path, lambda fact, number=number: spoil(fact, number))
    whole = {rule.id: verdicts(rule, record) for rule in all_rules()}
    readers = readers_of_facts(record)
    assert sum(bool(rules) for rules in readers.values()) > 150, "the rules look at what is recorded"
    gained = []
    for path, rules in readers.items():
        less = put(record, path, lambda _: Fact(None, Basis.NOT_RECORDED))
        for rule in rules:
            before = whole[rule.id]
            gained += [
                (path, rule.id, subject, before[subject])
                for subject, verdict in verdicts(rule, less).items()
                if verdict == "pass"
                and before.get(subject, "pass") != "pass"
                and not contradicted(record, path, rule.id)
            ]
    assert gained == []
