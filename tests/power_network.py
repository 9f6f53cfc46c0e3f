"""A job's record as a circuit of OpenDSS, a power-systems program: every conductor a line of its own, all nodes solved.

Built from the record and the printed tables alone; none of the rules' arithmetic is used.  Buses are the codes of
panels and circuits (a circuit's bus is its far end), nodes 1 and 2 the legs, 3 the neutral, 4 the ground wire.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from dataclasses import dataclass

import opendssdirect as dss

from handover.record.facts import WireSize
from handover.record.installation import Installation
from handover.record.record import Record
from handover.record.wiring import Circuit, Run, Wiring
from handover.tables.lookups import ac_impedance, dc_resistance
from handover.tables.reader import read_table
from handover.units import magnitude

STEEL = ("EMT", "RMC", "IMC", "FMC", "LFMC")
Ohms = Callable[[WireSize, str, Run | None], complex]
"""Ohms of 1000 ft of one conductor in a run."""
_NEXT_TO_NOTHING = 1e-7
_ROUNDS = 3


def by_tables_8_and_9(size: WireSize, metal: str, run: Run | None) -> complex:
    """NEC Chapter 9 at 75 °C: resistance of Table 8 to 3 AWG and of Table 9 above, reactance of Table 9."""
    steel = run is None or run.method in STEEL or any(step.method in STEEL for step in run.path)
    printed = ac_impedance(size, metal, "steel" if steel else "pvc", 2023).value
    small = size.unit == "AWG" and "/" not in size.size and int(size.size) >= 3
    r = dc_resistance(size, metal, 2023).value if small else printed.resistance
    return complex(magnitude(r, "ohm"), magnitude(printed.reactance, "ohm"))


def by_c_values(size: WireSize, metal: str, run: Run | None) -> complex:
    """1000 / C as plain ohms, in steel only where all is steel: the point-to-point method adds magnitudes."""
    straight = [step.method or run.method for step in run.path if step.step == "straight"] if run else []
    steel = bool(straight) and all(method in STEEL for method in straight)
    column = f"{'cu' if metal == 'copper' else 'al'}_{'steel' if steel else 'nonmagnetic'}"
    row = next(row for row in read_table("fault_c_values").rows if row["size"] == size.size)
    return complex(1000 / float(row[column]), 0)


@dataclass(frozen=True)
class Transformer:
    """A center-tapped transformer: ohms in percent of its rating, and how they lie.

    ``primary`` and ``half`` are the shares of %Z in the primary and in each half of the secondary; 1/2 and 1 make the
    current to neutral 1.33 times that from line to line, 2/3 and 2/3 make it 1.5 times.
    """

    kva: float
    percent: float
    primary: float
    half: float
    angle: float = 0.0


class Network:
    """The circuit; a fault is tried, or the loads are let flow, and voltages and currents read."""

    def __init__(self, record: Record, ohms: Ohms, transformer: Transformer | None = None) -> None:
        self.house = Installation(record)
        self.ohms = ohms
        self.shorts = 0
        self.loads: dict[str, tuple[str, str, float]] = {}
        self.service = record.service.at
        _do("clear")
        if transformer is None:
            self._ideal_service()
        else:
            self._transformer(transformer)
            self._service_conductors(record)
        _do(f"new reactor.ground phases=1 bus1={self.service}.3 bus2={self.service}.0 r={_NEXT_TO_NOTHING} x=0")
        _do(f"new reactor.bond phases=1 bus1={self.service}.3 bus2={self.service}.4 r={_NEXT_TO_NOTHING} x=0")
        for panel in record.panels:
            feeder = self.house.feeder_to(panel)
            above = self.house.upstream(panel)
            if feeder is not None and above is not None:
                self._wiring(feeder, above.code, panel.code)
        for circuit in record.circuits:
            position = self.house.position(circuit.code)
            if position is not None:
                self._wiring(circuit, position.panel.code, circuit.code)

    def _ideal_service(self) -> None:
        tight = f"r1={_NEXT_TO_NOTHING} x1={_NEXT_TO_NOTHING} r0={_NEXT_TO_NOTHING} x0={_NEXT_TO_NOTHING}"
        _do(f"new circuit.job phases=1 basekv=0.12 bus1={self.service}.1 angle=0 {tight}")
        _do(f"new vsource.other phases=1 basekv=0.12 bus1={self.service}.2 angle=180 {tight}")

    def _transformer(self, made: Transformer) -> None:
        tight = "r1=1e-6 x1=1e-6 r0=1e-6 x0=1e-6"
        _do(f"new circuit.job phases=1 basekv=7.2 bus1=utility.1 {tight}")
        r, x = (made.percent * part for part in (math.cos(made.angle), math.sin(made.angle)))
        x = max(x, 1e-6)
        _do(
            "new transformer.pole phases=1 windings=3 buses=[utility.1.0 tap.1.3 tap.3.2] kvs=[7.2 0.12 0.12] "
            f"kvas=[{made.kva} {made.kva} {made.kva}] %rs=[{made.primary * r} {made.half * r} {made.half * r}] "
            f"xhl={(made.primary + made.half) * x} xht={(made.primary + made.half) * x} xlt={2 * made.half * x} "
            "%noloadloss=0 %imag=0 ppm_antifloat=0"
        )

    def _service_conductors(self, record: Record) -> None:
        wires = record.service.conductors
        feet, sets = magnitude(wires.length.value, "foot"), wires.sets.value
        neutral = wires.neutral.value or wires.size.value
        for node, size in ((1, wires.size.value), (2, wires.size.value), (3, neutral)):
            ohms = self.ohms(size, wires.material.value, None) * feet / 1000 / sets
            self._line(f"service{node}", f"tap.{node}", f"{self.service}.{node}", ohms)

    def _wiring(self, wiring: Wiring, start: str, end: str) -> None:
        hots = sum(part.count for part in wiring.conductors if part.role == "hot")
        legs = self.legs(wiring) if isinstance(wiring, Circuit) and hots == 1 else (1, 2)
        for part in wiring.conductors:
            nodes = {"hot": legs, "neutral": (3,), "equipment ground": (4,)}[part.role]
            sets = 1 if part.role == "equipment ground" else wiring.sets
            if part.size.known:
                ohms = sum(
                    self.ohms(part.size.value, part.material.value, run) * _feet(run) / 1000 / sets
                    for run in self.house.runs_of(wiring)
                )
                for node in nodes:
                    self._line(f"{wiring.code}_{node}", f"{start}.{node}", f"{end}.{node}", ohms)

    def legs(self, circuit: Circuit) -> tuple[int, ...]:
        """1 and 2 for legs A and B: rows of a panel alternate."""
        spaces = self.house.position(circuit.code).slot.spaces
        return tuple(sorted({1 if (space + 1) // 2 % 2 else 2 for space in spaces}))

    def _line(self, name: str, start: str, end: str, ohms: complex) -> None:
        _do(
            f"new line.{name} phases=1 bus1={start} bus2={end} rmatrix=[{ohms.real}] "
            f"xmatrix=[{max(ohms.imag, 1e-12)}] cmatrix=[0] length=1 units=none"
        )

    def take(self, name: str, bus: str, nodes: tuple[int, int], amperes: float, power_factor: float = 1.0) -> None:
        """A load that takes a fixed current between two nodes, behind the voltage there by its power factor."""
        self.loads[name] = (f"{bus.lower()}.{nodes[0]}", f"{bus.lower()}.{nodes[1]}", math.acos(power_factor))
        for number, node in enumerate(nodes):
            _do(f"new isource.{name}_{number} phases=1 bus1={bus}.{node} amps={amperes} angle=0")

    def voltages(self) -> dict[str, complex]:
        """Volts to ground of every node, ``p1.2``, after all loads were let flow and have found their angle."""
        _do("solve")
        for _ in range(_ROUNDS):
            volts = self._solved()
            for name, (first, second, lag) in self.loads.items():
                angle = math.degrees(cmath.phase(volts[first] - volts[second]) - lag)
                _do(f"isource.{name}_0.angle={angle + 180}")
                _do(f"isource.{name}_1.angle={angle}")
            _do("solve")
        return self._solved()

    def _solved(self) -> dict[str, complex]:
        parts = dss.Circuit.AllBusVolts()
        return dict(zip(dss.Circuit.AllNodeNames(), map(complex, parts[::2], parts[1::2]), strict=True))

    def fault(self, bus: str, first: int, second: int) -> float:
        """Amperes of a dead short between two nodes."""
        self.shorts += 1
        short = f"line.short{self.shorts}"
        _do(f"new {short} phases=1 bus1={bus}.{first} bus2={bus}.{second} rmatrix=[{_NEXT_TO_NOTHING}] "
            "xmatrix=[1e-12] cmatrix=[0] length=1 units=none")  # fmt: skip
        _do("solve")
        dss.Circuit.SetActiveElement(short)
        real, imaginary = dss.CktElement.Currents()[:2]
        _do(f"{short}.enabled=no")
        return abs(complex(real, imaginary))


def lost(volts: dict[str, complex], start: str, end: str, nodes: tuple[int, int]) -> tuple[float, float]:
    """Volts lost between two buses, from one node to another: as phasors, and as a meter tells the difference."""
    before, after = (volts[f"{bus.lower()}.{nodes[0]}"] - volts[f"{bus.lower()}.{nodes[1]}"] for bus in (start, end))
    return abs(before - after), abs(before) - abs(after)


def angle_of(ohms: complex) -> float:
    """Radians."""
    return cmath.phase(ohms)


def _feet(run: Run) -> float:
    return sum(magnitude(step.length.value, "foot") for step in run.path if step.length.known)


def _do(command: str) -> None:
    dss.Text.Command(command)
