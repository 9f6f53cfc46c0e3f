"""Conductors in parallel: two or more joined at both ends to act as one."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import wires_of, wiring_of_this_job
from handover.checks.result import CheckResult
from handover.checks.runs_of import sets_in_each_run
from handover.record.facts import WireSize

SMALLEST_IN_PARALLEL = WireSize("1/0", "AWG")


@rule("parallel_conductors", "May these wires be joined in parallel, and will each take its share?")
def parallel_conductors(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Hot conductors and neutral of 1/0 AWG or larger; the sets alike, asked.  One result a wiring with parallel sets.

    Alike means length, metal, size, insulation and way of termination, and where each set has a raceway or cable of its
    own, raceways of one kind with as many conductors in each.  The conductors of one leg need not be those of another.
    Source: NEC 310.10(H) in 2017, as quoted on a code forum; 310.10(G) from 2020 on.
    """
    section = {2017: "310.10(H)", 2020: "310.10(G)" + FROM_MEMORY, 2023: "310.10(G)" + FROM_MEMORY}
    for wiring in wiring_of_this_job(job):
        if wiring.sets == 1:
            continue
        with job.case(parallel_conductors, wiring.code, section=section) as case:
            case.given("sets", f"parallel sets of {wiring.code}", wiring.sets, str(wiring.written_at) or "the record")
            if not wiring.conductors:
                raise Undecided(f"The conductors of {wiring.code} are not recorded: those of one set.")
            found = [wires for role in ("hot", "neutral") if (wires := wires_of(case, wiring, role)) is not None]
            thin = [
                f"{wires.entry.role} {wires.size}" for wires in found if wires.size.order < SMALLEST_IN_PARALLEL.order
            ]
            if thin:
                case.holds(False, f"Smaller than {SMALLEST_IN_PARALLEL} and in parallel: {', '.join(thin)}.")
            else:
                apart = sets_in_each_run(case, wiring) < wiring.sets
                raceways = ", their raceways or cables of one kind with as many conductors in each" if apart else ""
                ask(
                    case,
                    f"Are the {wiring.sets} sets of {wiring.code} of the same length, metal, size and insulation, "
                    f"joined in the same way at both ends{raceways}?",
                )
        yield case.result


RULES = (parallel_conductors,)
