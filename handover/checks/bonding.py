"""Rule about metal raceways and boxes: joined to the equipment ground, so that a fault on them trips the breaker."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.runs_of import STEEL, pieces, raceway_runs
from handover.checks.scope import is_new
from handover.record.wiring import Box


@rule("metal_bonding", "Is the metal of pipe and boxes joined to the equipment ground?")
def metal_bonding(job: JobUnderCheck) -> Iterator[CheckResult]:
    """By the recorded fact, else by a person's answer.  One result a new box, and one a new run of raceway.

    A box that is not of metal has nothing to join, whatever the record says of joining it.  Where wires are spliced in
    it, its ground wires are joined in it all the same, which is part of the question.  Runs without metal raceway give
    no result.
    Source: NEC 250.86 and 250.96 (raceways), 250.148 and 314.4 (boxes), 314.3 (boxes of plastic).
    """
    for box in job.record.boxes:
        if not is_new(box.work):
            continue
        with job.case(metal_bonding, box.code, section="250.148 and 314.4" + FROM_MEMORY) as case:
            _judge_box(case, box)
        yield case.result
    for run in raceway_runs(job):
        metal = sorted({piece.method for piece in pieces(run) if piece.method in STEEL})
        if not metal:
            continue
        with job.case(metal_bonding, run.code, section="250.86 and 250.96" + FROM_MEMORY) as case:
            case.given("", f"metal raceway in {run.code}", ", ".join(metal), str(run.written_at) or "the record")
            if run.bonded.known:
                bonded = case.fact("", f"metal of {run.code} joined from end to end and to the ground", run.bonded)
                case.holds(bonded, f"The metal of {run.code} is recorded as {_JOINED[bonded]} to the ground.")
            else:
                ask(case, "Is its metal joined from end to end by tight fittings, and to the equipment ground?")
        yield case.result


_JOINED = {True: "joined", False: "not joined"}


def _judge_box(case: Case, box: Box) -> None:
    if box.metal.value is False and box.spliced.value is not True:
        case.fact("", f"{box.code} is of metal", box.metal)
        raise NotApplicable(f"{box.code} is not of metal: it has nothing to join.")
    if not box.bonded.known:
        ask(case, "Are the ground wires in it joined together, and to the box where that is of metal?")
        return
    bonded = case.fact("", f"{box.code} joined to the equipment ground", box.bonded)
    if bonded:
        what = f"The ground wires in {box.code} are" if box.metal.value is False else f"{box.code} is"
        case.holds(True, f"{what} recorded as joined to the equipment ground.")
        return
    if box.metal.value is None:
        raise Undecided(f"{box.code} is recorded as not joined to the ground. Is it of metal? Record it.")
    if case.fact("", f"{box.code} is of metal", box.metal):
        case.holds(False, f"{box.code} is of metal and not joined to the equipment ground.")
    else:
        raise NotApplicable(f"{box.code} is not of metal: it has nothing to join.")
