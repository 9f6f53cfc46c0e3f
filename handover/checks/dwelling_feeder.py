"""A feeder that carries all of one dwelling unit: its conductors may have 83 % of its rating (310.12)."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.ampacities import after_correction
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import ask_for_terminals, breaker_of, hot_wires, less, terminal_column
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.installation import Position
from handover.record.supply import Panel
from handover.record.wiring import Feeder
from handover.units import Quantity, magnitude, show

_SHARE = 0.83
_LEAST, _MOST = 100.0, 400.0
_SECTION = {2017: "310.15(B)(7)(2)", 2020: "310.12(B)", 2023: "310.12(B)"}


@rule("dwelling_feeder", "Is the feeder that carries the whole dwelling thick enough for its rating?")
def dwelling_feeder(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Corrected ampacity at least 83 % of the rating, from 100 A to 400 A.  One result a new feeder.

    Only where the feeder carries all that one dwelling unit takes; any other feeder is judged by 240.4 alone.  In 2017
    only at 120/240 V, from 2020 on also on two legs of 208Y/120 V.  The short table of 310.12 is not used: the
    percentage with the corrected ampacity says the same where nothing needs correction, and holds where something does.
    Source: NEC 310.12(B), in 2017 310.15(B)(7)(2), as trade press and code forums quote them.  Unit: A.
    """
    for feeder in job.record.feeders:
        if not is_new(feeder.work):
            continue
        with job.case(dwelling_feeder, feeder.code, section=_SECTION) as case:
            rating = breaker_of(case, feeder)
            if not in_range(rating):
                raise NotApplicable("The 83 % rule is for feeders of 100 A to 400 A.")
            if not carries_whole_dwelling(case, feeder):
                raise NotApplicable(f"{feeder.code} does not carry all of a dwelling: rule breaker_protects_conductor.")
            terminal = terminal_column(case, feeder, rating)
            ampacity = after_correction(case, feeder, hot_wires(case, feeder), terminal)
            needed = rating * _SHARE
            case.step("0.83 × In", f"0.83 × {show(rating)}", needed)
            ask_for_terminals(feeder, terminal, not less(ampacity, needed))
            case.compare(value=ampacity, limit=needed, at_least=True)
        yield case.result


def in_range(rating: Quantity) -> bool:
    """Whether the 83 % rule is for feeders and services of this rating."""
    return _LEAST - 1e-9 <= magnitude(rating, "ampere") <= _MOST + 1e-9


def carries_whole_dwelling(case: Case, feeder: Feeder) -> bool:
    """Whether a feeder carries all that one dwelling unit takes, as recorded and as the panel it leaves shows it."""
    installation = case.job.installation
    panel = installation.panels.get(feeder.to)
    if panel is None:
        raise Undecided(f"{feeder.code} feeds no panel of this record.")
    case.given("dwelling", f"{panel.code} is a dwelling's panel", panel.dwelling, str(panel.written_at) or "the record")
    if not panel.dwelling:
        return False
    if case.job.edition < 2020 and not case.job.record.service.volts.startswith("120/240"):
        case.given("V", "voltage of the supply; before 2020 the rule is for 120/240 V", "208Y/120 V", "the record")
        return False
    above = installation.upstream(panel)
    others = [] if above is None else _beside(case, above, feeder)
    case.given("", f"other breakers on the panel that {feeder.code} leaves", ", ".join(others) or "none", "the record")
    if others and feeder.whole_dwelling.value:
        raise Undecided(
            f"{feeder.code} is recorded as carrying the whole dwelling, and beside it stand {', '.join(others)}. "
            "Find out whether these are the dwelling's too; if so, it does not carry the whole of it."
        )
    return not others and case.fact("", f"{feeder.code} carries all of one dwelling unit", feeder.whole_dwelling)


def _beside(case: Case, above: Panel, feeder: Feeder) -> list[str]:
    """The breakers beside a feeder's that carry other loads; spares and sources left out."""
    return [
        Position(above, slot).subject
        for slot in above.slots
        if slot.breaker is not None
        and slot.feeds != feeder.code
        and slot.feeds not in case.job.installation.sources
        and not is_spare(slot)
    ]


def limit_for_dwelling(case: Case, feeder: Feeder, rating: Quantity, ampacity: Quantity) -> Quantity | None:
    """The largest rating over ``ampacity`` by the 83 % rule, for a feeder that fits by no other; None where it is not.

    A feeder of part of a dwelling need never have more than the service conductors would need (310.12(C)); as that is
    read in more than one way, such a feeder ends as undecided.
    """
    if not in_range(rating) or less(ampacity, rating * _SHARE):
        return None
    if carries_whole_dwelling(case, feeder):
        limit: Quantity = ampacity / _SHARE
        case.step("A / 0.83, carries the whole dwelling (310.12)", f"{show(ampacity)} / 0.83", limit)
        return limit
    panel = case.job.installation.panels[feeder.to]
    service = case.job.record.service.rating
    if panel.dwelling and service.value is not None and not less(ampacity, service.value * _SHARE):
        raise Undecided(
            f"{feeder.code} carries part of a dwelling and has {show(ampacity)}, no less than the service conductors "
            f"need for {show(service.value)}. Whether more can be asked of it is read in two ways (310.12(C), in 2017 "
            "310.15(B)(7)(3)). Ask the authority having jurisdiction."
        )
    return None


RULES = (dwelling_feeder,)
