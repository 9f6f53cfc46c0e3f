"""How a calculated load is held against the service's rating: which method decides, and what is only a comparison."""

from __future__ import annotations

import math

from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided
from handover.checks.energy_management import managed_current
from handover.checks.result import CheckResult, Verdict
from handover.checks.service_parts import Total, amperes, service_volts
from handover.record.supply import LoadMethod
from handover.units import Quantity, quantity, show

_LEAST = quantity(100, "ampere")


def deciding_method(job: JobUnderCheck) -> LoadMethod:
    """The method the record names, and the one for an existing dwelling where it names none."""
    load = job.record.service_load
    return (load.method if load is not None else None) or "existing dwelling"


def decides(job: JobUnderCheck, method: LoadMethod) -> bool:
    """Whether a method decides this job.  A measured demand does, too, where no method is named."""
    load = job.record.service_load
    named = load.method if load is not None else None
    return deciding_method(job) == method or (method == "measured demand" and named is None)


def worth_telling(job: JobUnderCheck, method: LoadMethod, result: CheckResult) -> bool:
    """Whether a result is shown: the deciding method's always, another's only where it comes to something."""
    return decides(job, method) or result.verdict is not Verdict.UNDECIDED


def close_total(case: Case, total: Total, method: LoadMethod, beside: str = "") -> None:
    """Close by the service's rating.  A method that does not decide never fails a job: any one method is enough.

    ``beside`` tells what the other methods come to, for the one that decides.
    """
    volts = service_volts(case.job)
    rating = case.fact("In", "rating of the service", case.job.record.service.rating)
    current = amperes(case, total.safe, volts)
    if not decides(case.job, method):
        compare_aside(case, current, rating, deciding_method(case.job))
    elif current > rating and (counted := managed_current(case, "service")) is not None:
        reason = f"Energy management holds the service to {show(counted)}, 125 % of its set point, of {show(rating)}."
        case.compare(value=counted, limit=rating, at_least=False, reason=reason)
    else:
        decide_disputed(case, current, rounded(case, total.lenient / volts), rating, total.dispute, beside=beside)


_CALLED: dict[LoadMethod, str] = {
    "existing dwelling": "the one for an existing dwelling",
    "optional": "the optional one",
    "standard": "the standard one",
    "measured demand": "the measured demand",
}


def compare_aside(case: Case, current: Quantity, rating: Quantity, decider: LoadMethod) -> None:
    """Close a method that is shown for comparison: a pass, or no verdict at all."""
    told = f"For comparison: {show(current)} of {show(rating)} by this method"
    why = f"the code permits each method by itself, and the record goes by another, {_CALLED[decider]}"
    if current > rating:
        raise NotApplicable(f"{told}, which is more than the rating. It does not decide: {why}.")
    case.compare(value=current, limit=rating, at_least=False, reason=f"{told}. It does not decide: {why}.")


def rounded(case: Case, current: float) -> Quantity:
    """A current (A) to the nearest ampere, as 220.5(B) permits; exact in 2026, whose text of that was not seen."""
    return quantity(current if case.job.edition >= 2026 else math.floor(current + 0.5 + 1e-9), "ampere")


def decide_disputed(
    case: Case, safe: Quantity, lenient: Quantity, rating: Quantity, dispute: str, *, beside: str = ""
) -> None:
    """Close by the safe reading of a disputed text; undecided where the readings differ about the outcome."""
    if safe > rating >= lenient:
        raise Undecided(
            f"By the safe reading of a disputed text the load is {show(safe)}, by the other {show(lenient)}; "
            f"the rating is {show(rating)}. In dispute: {dispute}. Ask the authority having jurisdiction which reading "
            "it takes."
        )
    reason = f"{show(safe)} of {show(rating)}, by the safe reading where the text is disputed.{beside}"
    case.compare(value=safe, limit=rating, at_least=False, reason=reason)


def least_service(case: Case, method: LoadMethod) -> bool:
    """Whether the case goes on: False where it was closed, as a new one-family service is below 100 A (230.79(C))."""
    service, load = case.job.record.service, case.job.record.service_load
    rating = case.fact("In", "rating of the service", service.rating)
    if rating >= _LEAST or load is None or not decides(case.job, method):
        return True
    if load.dwelling.known and case.fact("", "kind of dwelling", load.dwelling) != "one-family":
        return True
    if not case.fact("", "service was put in or replaced on this job", service.replaced_on_this_job):
        return True
    case.fact("", "kind of dwelling", load.dwelling)
    case.compare(
        value=rating, limit=_LEAST, at_least=True, reason="A one-family dwelling has at least 100 A (230.79(C))."
    )
    return False
