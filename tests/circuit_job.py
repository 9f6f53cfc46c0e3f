"""One circuit or feeder in one run, written as a job's text: the bench on which the rules about wiring are tried."""

from __future__ import annotations

HOT = "{role: hot, count: 2, size: 8 AWG, material: copper, insulation: THWN-2}"
GROUND = "{role: equipment ground, size: 10 AWG, material: copper, insulation: THWN-2}"
INDOORS = "{step: straight, length: 20 ft, surroundings: indoors, support_spacing: 8 ft}"


def one_circuit(
    *,
    breaker: str = "40 A",
    volts: str = "240 V",
    facts: str = "load: 32 A, continuous: yes",
    conductors: str = f"{HOT}, {GROUND}",
    terminals: str = "terminals: 75 °C, ",
    run: str = "method: EMT, trade_size: 3/4 in, ambient: 30 °C",
    path: str = INDOORS,
    more: str = "",
) -> str:
    """C1, fed from P1 spaces 1/3, in run R1.  ``facts`` and ``run`` are written into their entries as they are."""
    return f"""
panels:
  - code: P1
    name: Main panel
    place: hall
    work: existing
    spaces: 8
    main_kind: main breaker
    main: 200 A
    slots: [{{spaces: [1, 3], feeds: C1, work: new, breaker: {breaker}}}]
circuits:
  - {{code: C1, name: A circuit, work: new, volts: {volts}, {facts}, {terminals}runs: [R1], conductors: [{conductors}]}}
runs:
  - {{code: R1, name: A run, work: new, {run}, path: [{path}]}}
{more}
"""


def one_feeder(
    *,
    breaker: str = "60 A",
    facts: str = "load: 48 A, continuous: 24 A",
    conductors: str = "{role: hot, count: 2, size: 6 AWG, material: copper, insulation: THWN-2}, " + GROUND,
    run: str = "method: PVC schedule 40, trade_size: 1-1/4 in, ambient: 30 °C",
    path: str = INDOORS,
) -> str:
    """F1, from P1 spaces 1/3 to P2, in run R1."""
    return f"""
panels:
  - code: P1
    name: Main panel
    place: hall
    work: existing
    spaces: 8
    main_kind: main breaker
    main: 200 A
    slots: [{{spaces: [1, 3], feeds: F1, work: new, breaker: {breaker}}}]
  - {{code: P2, name: Sub-panel, place: shed, work: new, spaces: 8, main_kind: main lugs}}
feeders:
  - {{code: F1, name: A feeder, work: new, to: P2, volts: 240 V, {facts}, terminals: 75 °C, runs: [R1],
     conductors: [{conductors}]}}
runs:
  - {{code: R1, name: A run, work: new, {run}, path: [{path}]}}
"""


def confirmed(rule: str, subject: str, answer: str = "yes") -> str:
    """The recorded answer to what a rule asks about a subject."""
    return f"confirmed: [{{rule: {rule}, subject: {subject}, answer: {answer}, how: Looked on the day.}}]\n"


def wires(role: str, size: str, count: int = 1, *, metal: str = "copper", insulation: str = "THWN-2") -> str:
    """Conductors of one role, as an entry of a wiring's list."""
    return f"{{role: {role}, count: {count}, size: {size}, material: {metal}, insulation: {insulation}}}"


def one_appliance(kind: str, plate: str, *, more: str = "", **circuit: str) -> str:
    """``one_circuit`` with E1 on it, whose nameplate is all that is known of the load."""
    equipment = f"equipment: [{{code: E1, name: A thing, kind: {kind}, circuit: C1, place: hall, work: new, {plate}}}]"
    return one_circuit(facts=circuit.pop("facts", "note: none"), more=f"{equipment}\n{more}", **circuit)
