"""What to do at once follows from the record: first things first, nothing that only a worker may touch."""

from __future__ import annotations

from pathlib import Path

import pytest
from jobs import job

from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.trouble import automatic, dead_steps, switch_off_steps, trouble_steps
from handover.words import words

GENERATOR = """
sources:
  - {code: G1, kind: generator, name: Standby set, place: north fence, work: existing, starts_by_itself: %s,
     disconnect: stop button under the lid, fuel_shutoff: valve on the tank}
  - {code: S1, kind: solar, name: Roof solar, place: roof, work: existing, disconnect: switch by the meter,
     stays_live: Wires on the roof.}
transfers: [{code: T1, name: Transfer, place: wall, work: existing, kind: automatic, source: G1, feeds: P2}]
panels:
  - code: P1
    name: Main panel
    place: hall
    work: existing
    spaces: 12
    main_kind: main breaker
    main: 200 A
    slots:
      - {spaces: [1, 3], breaker: 60 A, feeds: T1}
      - {spaces: [2, 4], breaker: 60 A, feeds: F1}
      - {spaces: [6, 8], breaker: 40 A, feeds: C1}
      - {spaces: [9], breaker: 15 A}
  - code: P2
    name: Standby panel
    place: laundry
    work: existing
    spaces: 4
    main_kind: main lugs
    slots: [{spaces: [1], breaker: 15 A, says: freezer}, {spaces: [2], blank: yes}]
  - code: P3
    name: Shed
    place: yard
    work: new
    spaces: 4
    main_kind: main breaker
    main: 60 A
    slots: [{spaces: [1], breaker: 20 A, feeds: C2}]
feeders: [{code: F1, name: Shed feeder, work: new, volts: 240 V, to: P3, runs: [R1]}]
circuits:
  - {code: C1, name: Car charger, work: new, volts: 240 V}
  - {code: C2, name: Bench, work: new, volts: 120 V,
     outlets: [{what: bench outlet, place: north wall, area: garage, kind: receptacle, gfci: in this receptacle}]}
  - {code: C3, name: Lost, work: existing, volts: 120 V}
equipment: [{code: E1, name: Charger, kind: car charger, circuit: C1, place: carport, work: new}]
runs:
  - {code: R1, name: Line to the shed, work: new, method: PVC schedule 40,
     path: [{step: straight, surroundings: underground, cover: 20 in}]}
"""


def read_demo():
    return Installation(read_job(Path(__file__).parent.parent / "demo_property"))


def house(starts="yes", more=""):
    return Installation(job(GENERATOR % starts + more))


def steps_of(installation, trouble):
    return next(each for each in trouble_steps(installation) if each.id == trouble).steps


def dead(code):
    installation = house()
    return " ".join(dead_steps(installation, installation.wirings[code]))


def test_troubles_name_whom_to_call_and_where():
    troubles = {trouble.id: trouble for trouble in trouble_steps(house())}
    assert set(troubles) == {id.replace("_", "-") for id in words("notes")["troubles"]}
    assert any("911" in step for step in troubles["burning"].steps)
    assert any("555-0101" in step for step in troubles["water"].steps)
    assert any("Try this once" in step for step in troubles["breaker-tripped"].steps)
    assert "generator-on" not in {trouble.id for trouble in trouble_steps(Installation(job()))}


def test_who_leaves_a_panel_that_smells_alone_is_told_whom_to_call():
    record = house().record
    step = steps_of(house(), "breaker-tripped")[0]
    assert f"Go out. Smell, smoke or fire: call {record.emergency.call}." in step
    assert step.endswith(f"Else call {record.contractor.name}, {record.contractor.phone}.")


def test_out_first_and_hands_off_a_person_who_is_live():
    assert steps_of(house(), "burning")[0].startswith("Flames or smoke? Get everybody out first.")
    shock = steps_of(house(), "shock")
    assert shock[0] == "Call 911."
    assert shock[1] == "Do not touch the person until the power is off."
    # The nearest sure way first: a walk to the generator would cost time, and it matters only once the main is off.
    (main,) = (at for at, step in enumerate(shock) if "Take the main: " in step)
    (generator,) = (at for at, step in enumerate(shock) if "stop the generator too" in step)
    assert main < generator < shock.index("Is the power off? Then help, and do as 911 tells you.")


def test_a_breaker_that_nobody_could_explain_is_not_tried_again():
    """Of ``house`` space 9 has a breaker, no entry, and was not traced."""
    (step,) = (step for step in steps_of(house(), "breaker-tripped") if "Nobody knows what it feeds" in step)
    assert step.startswith("Is it this one: Main panel (P1), space 9? Nobody knows what it feeds. Leave it off. Call ")
    traced = GENERATOR.replace("{spaces: [9], breaker: 15 A}", "{spaces: [9], breaker: 15 A, says: hall}")
    told = trouble_steps(Installation(job(traced % "yes")))[0].steps
    assert not any("Nobody knows" in each for each in told)


def test_a_panel_that_smells_is_left_alone_and_the_way_round_it_depends_on_where_the_shutoff_is():
    outside = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, "
        "disconnect_place: east wall, disconnect_outdoors: yes}"
    )
    steps = steps_of(house(more=outside), "burning")
    at = steps.index("Is it a panel? Do not touch it. Go out, and call 911.")
    # The shutoff's own cabinet may be what smells.
    assert steps[at + 1].startswith("Does nothing smell, buzz or feel hot at the outside shutoff?")
    assert steps[at + 1].endswith("Then switch off there: east wall.")
    told = " ".join(steps_of(house(), "burning"))
    assert "ask A utility, 555-0101, to cut the power" in told
    assert "outside shutoff" not in told


@pytest.mark.parametrize("trouble", ["burning", "shock", "bright-dim", "water"])
@pytest.mark.parametrize(("starts", "told"), [("yes", True), ("unknown", True), ("no", False)])
def test_whoever_switches_off_the_main_is_told_that_the_generator_starts(trouble, starts, told):
    text = " ".join(steps_of(house(starts), trouble))
    assert ("It feeds: Standby panel (P2)." in text) is told
    assert ("G1 Standby set: stop button under the lid" in text) is told
    assert bool(automatic(house(starts))) is told


def test_with_the_utility_out_the_card_says_what_runs_and_all_else_is_off():
    told = steps_of(house(), "utility-out")
    assert "Standby set (G1) can feed Standby panel (P2). As its panel card says, that is: freezer." in told
    # All that is not behind the transfer switch, whether the job touched it or the card alone tells of it.
    assert "Off in Main panel (P1), as its card says: Car charger, one without an entry (space 9)." in told
    assert "Off in Shed (P3), as its card says: Bench." in told
    assert any("solar usually shuts down" in step for step in told)
    bare = " ".join(steps_of(Installation(job()), "utility-out"))
    assert "card" not in bare
    assert "solar" not in bare
    battery = "sources: [{code: S3, kind: battery, name: Store, place: shed, work: existing}]"
    assert "keep parts of the house live: Store (S3)" in " ".join(steps_of(Installation(job(battery)), "utility-out"))


def test_off_is_what_the_card_names_too_but_no_feeder_and_each_once():
    installation = read_demo()
    off = next(step for step in steps_of(installation, "utility-out") if step.startswith("Off in Main panel"))
    assert all(name in off for name in ("fridge", "sump", "furnace", "smoke alarms", "Car charger"))
    assert "Studio feeder" not in off
    assert "Rooftop solar" not in off
    assert off.count("living rm") == 1


def test_when_some_rooms_work_it_is_told_what_the_generator_feeds_and_where_each_main_is():
    steps = steps_of(house(), "some-rooms")
    assert any("Does only this work: freezer? Then Standby set (G1) feeds it." in step for step in steps)
    assert any("Main panel (P1), hall; Shed (P3), yard." in step for step in steps)
    assert not any("only this work" in step for step in steps_of(Installation(job()), "some-rooms"))


def test_the_generator_is_stopped_before_the_shutoff_and_the_solar_after_it():
    steps = switch_off_steps(house())
    order = ["safe and dry", "Standby set (G1)", "Main shutoff", "Roof solar (S1)", *["Tell the fire crew"] * 3]
    assert [word in step for word, step in zip(order, steps, strict=True)] == [True] * 7
    assert "Touch nothing else inside." in steps[1]
    # One thing a step: run together, a valve or a buried line would seem to stay live.
    crew = ("Stays live: Wires on the roof", "Fuel shutoff: valve on the tank", "Buried line: Line to the shed (R1)")
    assert all(told in step for told, step in zip(crew, steps[4:], strict=True))
    assert len(switch_off_steps(Installation(job()))) == 2


def test_the_handle_is_named_as_it_is_marked():
    marked = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, "
        "disconnect_place: east wall, disconnect_outdoors: yes, disconnect_marked: MAIN}"
    )
    told = switch_off_steps(Installation(job(marked)))
    assert "Outside shutoff, east wall: push the handle marked MAIN to OFF." in told


def test_a_dead_circuit_is_tried_once_and_then_left():
    assert "Unplug the car. Its breaker: Main panel (P1), spaces 6/8." in dead("C1")
    assert 'Is the whole panel dead? See "Some rooms work, others do not".' in dead("C1")
    shed = dead("C2")
    assert "Switch off what is plugged in, then unplug it." in shed
    assert "press RESET once. It is here: bench outlet, north wall." in shed
    # A main that has tripped guards much: it is no homeowner's to try again.
    assert "Is all of Shed (P3) dead? Look at its main, and here: Main panel (P1), spaces 2/4." in shed
    assert "Has one tripped? Leave it off and call." in shed
    for told in (dead("C1"), shed):
        assert "Do this once" in told
        assert "leave it OFF and call your electrician: Test Electric, 555-0100" in told.replace("Leave", "leave")
    assert "Do not guess" in dead("C3")
