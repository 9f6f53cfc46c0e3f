"""How the time of a check grows with the job: from 25 to 200 circuits, each in its own raceway.

Run by hand:  python tests/benchmarks/many_circuits.py [ROUNDS]
Prints the seconds of whole processes (the median of ROUNDS runs), and what each further circuit costs.  Growing in
proportion, the cost of a circuit stays the same from line to line.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from whole_process import seconds

COUNTS = (25, 50, 100, 200)
A_PANEL = 40
HOUSE = """\
job:
  title: A house with many circuits
  kind: other
  number: T-1
  pack: AAAAAAAAAAAAAAAAAAAAAAAAA
  publish_at: https://packs.example
  summary: For timing.
  dates: {finished: 2026-06-12}
revisions: [{number: 1, date: 2026-06-12, by: A tester, what: First issue.}]
contractor: {name: Test Electric, licence: {number: "1", issued_by: A board}, phone: 555-0100}
site: {name: Test house, building: house}
emergency: {call: "911", utility: A utility, utility_line: 555-0101, shutoff: Outside.}
permit: {authority: A county}
code: {name: NEC, edition: 2023}
service: {utility: A utility, volts: 120/240 V single-phase, rating: 400 A, at: P0, disconnect_place: outside}
"""
CIRCUIT = """\
  - code: C{n}
    name: Room {n} receptacles
    work: new
    volts: 120 V
    load: 4 A
    continuous: no
    terminals: 75 °C
    runs: [R{n}]
    conductors:
      - {{role: hot, size: 12 AWG, material: copper, insulation: THHN/THWN-2}}
      - {{role: neutral, size: 12 AWG, material: copper, insulation: THHN/THWN-2}}
      - {{role: equipment ground, size: 12 AWG, material: copper, insulation: THHN/THWN-2}}
    outlets:
      - {{what: receptacle, place: room {n}, area: garage, kind: receptacle, rating: 20 A, gfci: in this receptacle,
         tamper_resistant: yes, near_sink: no}}
"""
RUN = """\
  - code: R{n}
    name: To room {n}
    work: new
    method: EMT
    trade_size: 1/2 in
    ambient: 30 °C
    path:
      - {{step: panel, code: P{panel}}}
      - {{step: straight, length: {feet} ft, surroundings: indoors, first_support: 12 in, last_support: 12 in,
         support_spacing: 8 ft}}
      - {{step: bend, degrees: 90°, radius: 4 in, surroundings: indoors}}
      - {{step: straight, length: 10 ft, surroundings: indoors, first_support: 12 in, last_support: 12 in,
         support_spacing: 8 ft}}
      - {{step: box, at: room {n}}}
"""


def panel(number: int, circuits: list[int], fed: list[int]) -> Iterator[str]:
    """One panel's lines: its circuits, one to a space, and the breakers of the feeders ``fed`` from it."""
    yield (
        f"  - {{code: P{number}, name: Panel {number}, place: hall, work: new, spaces: 60, volts: 240 V, bus: 400 A,\n"
        f"     main: 200 A, main_kind: main breaker, handle_height: 60 in, working_depth: 40 in, slots: ["
    )
    free = iter(range(1, 61))
    for circuit in circuits:
        yield f"      {{spaces: [{next(free)}], breaker: 20 A, feeds: C{circuit}, work: new}},"
    space = 45
    for to in fed:
        yield f"      {{spaces: [{space}, {space + 2}], breaker: 100 A, feeds: F{to}, work: new}},"
        space += 1 if space % 2 else 3
    yield "    ]}"


def job(count: int) -> str:
    """The text of a job with ``count`` circuits, forty to a panel, the further panels fed from the first."""
    groups = [list(range(start, min(start + A_PANEL, count + 1))) for start in range(1, count + 1, A_PANEL)]
    further = list(range(1, len(groups)))
    lines = [HOUSE, "panels:"]
    for number, circuits in enumerate(groups):
        lines += panel(number, circuits, further if number == 0 else [])
    if further:
        lines.append("feeders:")
    lines += [
        f"  - {{code: F{to}, name: Feeder {to}, work: new, to: P{to}, volts: 240 V, load: 60 A}}" for to in further
    ]
    lines.append("circuits:")
    lines += [CIRCUIT.format(n=n) for group in groups for n in group]
    lines.append("runs:")
    lines += [RUN.format(n=n, panel=number, feet=15 + n % 7) for number, group in enumerate(groups) for n in group]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Time each size in turn, alternating."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    times: dict[int, list[float]] = {count: [] for count in COUNTS}
    with tempfile.TemporaryDirectory() as scratch:
        for count in COUNTS:
            folder = Path(scratch, str(count))
            folder.mkdir()
            (folder / "job.yaml").write_text(job(count), encoding="utf-8")
        for _ in range(rounds):
            for count in COUNTS:
                times[count].append(seconds("-m", "handover", "check", Path(scratch, str(count)), "--json"))
    before = None
    for count in COUNTS:
        now = statistics.median(times[count])
        more = (
            "" if before is None else f"  {1000 * (now - before[1]) / (count - before[0]):5.1f} ms each further circuit"
        )
        print(f"{now:7.2f} s  {count:3} circuits{more}")
        before = count, now


if __name__ == "__main__":
    main()
