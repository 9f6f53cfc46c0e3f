"""Over small records of the rules about conductors and appliances: forgetting a fact never turns anything into a pass.

The example job has no such appliances, so these stand beside the test over it.
"""

from __future__ import annotations

import pytest

from handover.checks.appliances import space_heating_circuit, water_heater
from handover.checks.cables import cable_limits
from handover.checks.compressors import compressor_circuit
from handover.checks.conductors import conductor_after_correction
from handover.checks.cooking_circuits import dryer_circuit, range_circuit
from handover.checks.dwelling_feeder import dwelling_feeder
from handover.checks.motors import motor_circuit
from handover.checks.multiwire import multiwire_circuit
from handover.checks.parallel import parallel_conductors
from handover.checks.terminals import aluminum_terminals, terminal_temperature
from handover.record.facts import Basis, Fact
from tests.checks.test_appliances import heater, heating
from tests.checks.test_cables import cable
from tests.checks.test_compressors import compressor
from tests.checks.test_cooking_circuits import cooker, dryer
from tests.checks.test_dwelling_feeder import feeder
from tests.checks.test_missing_facts import facts_of, put, verdicts
from tests.checks.test_motors import motor
from tests.checks.test_multiwire import SHARED
from tests.checks.test_parallel import sets
from tests.circuit_job import confirmed, one_circuit, wires
from tests.jobs import job

BARE = wires("hot", "6 AWG", 2) + ", " + wires("neutral", "6 AWG", insulation="bare")
FAILING = (
    (water_heater, heater("power: 4500 W, maximum_overcurrent: 25 A")),
    (water_heater, heater(breaker="20 A")),
    (water_heater, heater("power: 9.6 kW, maximum_marked: no, heater_kind: instantaneous, continuous: yes", "40 A")),
    (space_heating_circuit, heating(breaker="50 A")),
    (space_heating_circuit, heating(size="8 AWG")),
    (range_circuit, cooker(breaker="35 A")),
    (range_circuit, cooker("9.7 kW", kind="oven")),
    (dryer_circuit, dryer(breaker="20 A")),
    (compressor_circuit, compressor("60 A")),
    (compressor_circuit, compressor(facts=", maximum_overcurrent: 35 A").replace("maximum_marked: no, ", "")),
    (motor_circuit, motor(current="17 A")),
    (motor_circuit, motor(facts=", maximum_overcurrent: 25 A").replace("maximum_marked: no, ", "")),
    (motor_circuit, motor("25 A", "1.5 A", "12 AWG", volts="120 V")),
    (multiwire_circuit, SHARED.replace("spaces: [3]", "spaces: [5]")),
    (parallel_conductors, sets("1 AWG") + confirmed("parallel_conductors", "C1")),
    (terminal_temperature, one_circuit(breaker="110 A", conductors=wires("hot", "1/0 AWG", 2, insulation="TW"))),
    (aluminum_terminals, one_circuit(conductors=wires("hot", "6 AWG", 2, metal="aluminum"))),
    (cable_limits, cable("NM-B", "outdoors") + confirmed("cable_limits", "R1")),
    (cable_limits, cable("SE", "indoors", conductors=BARE)),
    (dwelling_feeder, feeder("1/0 AWG")),
    (dwelling_feeder, feeder(whole="no")),
    (conductor_after_correction, cable("NM-B", "indoors", conductors=wires("hot", "12 AWG", 2),
                                       run=", bundled_conductors: 12").replace("load: 32 A", "load: 18 A")),
)  # fmt: skip


@pytest.mark.parametrize(("rule", "text"), FAILING, ids=[f"{n}-{rule.id}" for n, (rule, _) in enumerate(FAILING)])
def test_a_forgotten_fact_never_turns_into_a_pass(rule, text):
    record = job(text)
    before = verdicts(rule, record)
    assert "pass" not in before.values()
    paths = list(facts_of(record))
    assert paths
    gained = [
        path
        for path in paths
        if "pass" in verdicts(rule, put(record, path, lambda _: Fact(None, Basis.NOT_RECORDED))).values()
    ]
    assert gained == []
