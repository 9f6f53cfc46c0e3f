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
OTHER_HOUSE = Path(__file__).parents[1] / "other_house"
Step = tuple[str, int | None]
Path_ = tuple[Step, ...]


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


ALONE = "looked at before the first result, or after the last one: it may matter to any of them"


def readers_of_facts(record: Record) -> dict[str, dict[Path_, set[str]]]:
    """By rule: each fact it looks at, and the subjects it looks at it for.  No other subject can change with it."""
    paths = list(facts_of(record))
    looked: set[Path_] = set()
    watched = record
    for path in paths:
        watched = put(watched, path, lambda fact, path=path: Watched(fact, lambda: looked.add(path)))
    readers: dict[str, dict[Path_, set[str]]] = {}
    for rule in all_rules():
        found = readers.setdefault(rule.id, {})
        looked.clear()
        subject = ALONE
        for result in rule(JobUnderCheck(watched, watched.code.edition)):
            for path in looked:
                found.setdefault(path, set()).update((subject, result.subject))
            looked.clear()
            subject = result.subject
        for path in looked:
            found.setdefault(path, set()).add(ALONE)
    return readers


def forgotten_together(looked_at: dict[Path_, set[str]]) -> list[list[Path_]]:
    """The facts that a rule looks at, in groups that can be left out at once: of different things, for different ones.

    What one result of a rule goes by is no business of another, so that each comes out as if its own fact alone were
    forgotten.  Neighbours of one part are kept apart, since a rule may look at one where the other is missing.
    """
    groups: list[tuple[list[Path_], set[Any]]] = []
    for path, subjects in looked_at.items():
        taken: set[Any] = {*subjects, path[:1]}
        home = None if ALONE in subjects else next((each for each in groups if not each[1] & taken), None)
        if home is None:
            groups.append(([path], {*taken}))
        else:
            home[0].append(path)
            home[1].update(taken)
    return [paths for paths, _ in groups]


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_job(DEMO)


@pytest.fixture(scope="module")
def other_house() -> Record:
    return read_job(OTHER_HOUSE)


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
    set to more than its nameplate; a circuit of more volts than its equipment; the utility's fault current above what
    its transformer can give at most. And one that is the code's own order: without a setting the nameplate is the load
    (625.42), and for that larger load the same wires are no longer larger than needed (250.122(B)).
    """
    name = path[-1][0]
    if name in ("set_current", "setting_access") and rule == "equipment_grounding_conductor":
        return True
    if name == "set_current":
        _, number = path[0]
        charger = record.equipment[number]
        return charger.current.known and charger.set_current.value > charger.current.value
    if [step[0] for step in path] == ["equipment", "volts"]:
        circuit = next(each for each in record.circuits if each.code == record.equipment[path[0][1]].circuit)
        return circuit.volts.known and circuit.volts.value > record.equipment[path[0][1]].volts.value
    if name == "fault_current":
        return rule in ("interrupting_rating", "panel_short_circuit_rating") and record.service.transformer is not None
    if [step[0] for step in path] == ["feeders", "load"]:
        return rule in ("voltage_drop", "voltage_drop_total")
    return path[-1][0] == "trip_current" or [step[0] for step in path] == ["circuits", "load"]


@pytest.mark.parametrize("spoil", [as_it_is, halved, tripled, every_other_halved, every_other_tripled, turned])
@pytest.mark.parametrize("house", ["demo", "other_house"])
def test_a_forgotten_fact_never_turns_into_a_pass(house, spoil, request):
    """Every fact is left out in turn, of both jobs and of spoiled ones in which most rules do not pass."""
    whole_record: Record = request.getfixturevalue(house)
    record = whole_record
    for number, path in enumerate(facts_of(whole_record)):
        record = put(record, path, lambda fact, number=number: spoil(fact, number))
    readers = readers_of_facts(record)
    assert len({path for looked_at in readers.values() for path in looked_at}) > 400, "the rules look at what is there"
    gained = []
    for rule in all_rules():
        before = verdicts(rule, record)
        if set(before.values()) <= {"pass"}:
            continue
        for paths in forgotten_together(readers[rule.id]):
            if gains(rule, record, before, paths):
                gained += [
                    (path, rule.id, subject, before[subject])
                    for path in paths
                    if not contradicted(record, path, rule.id)
                    for subject in gains(rule, record, before, [path])
                ]
    assert gained == []


def gains(rule: Rule, record: Record, before: dict[str, str], paths: list[Path_]) -> list[str]:
    """The subjects that did not pass and do so once some facts are forgotten."""
    for path in paths:
        record = put(record, path, lambda _: Fact(None, Basis.NOT_RECORDED))
    after = verdicts(rule, record)
    return [name for name, verdict in after.items() if verdict == "pass" and before.get(name, "pass") != "pass"]
