"""Rules about the switches that cut off appliances and motors, for those that this job put in or changed."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, fails_unless
from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.wiring import Disconnect, Equipment
from handover.units import quantity

_APPLIANCES = ("kiln", "water heater", "range", "dryer", "other")
_IN_SIGHT = quantity(50, "foot")  # Article 100: visible, and not more than 50 ft away


@rule("appliance_disconnect", "Can the appliance be switched off where somebody works on it?")
def appliance_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Wired in: a switch or breaker in sight and within 50 ft, or one that locks open.  With a plug: within reach.

    One result a kiln, water heater, range, dryer or other appliance of this job.  A switch in the appliance itself,
    with a marked off position, may do in a one-family house: it counts where the record confirms it.
    Source: NEC 422.31 (a textbook site), 422.33 and 422.34 (from memory), Article 100 for "in sight".
    """
    for item in job.record.equipment:
        if not is_new(item.work) or item.kind not in _APPLIANCES:
            continue
        with job.case(appliance_disconnect, item.code, section="422.31 and 422.33" + FROM_MEMORY) as case:
            connection = case.fact("", f"connection of {item.code}", item.connection)
            switch = _disconnect(item)
            if connection == "cord and plug":
                _plug(case, switch)
            elif switch.lockable.value:
                case.fact("", "disconnect can be locked open", switch.lockable)
                case.holds(True, "The disconnect can be locked open.")
            elif _seen(case, switch):
                case.holds(True, "The disconnect is in sight.")
            else:
                case.fact("", "disconnect can be locked open", switch.lockable)
                fails_unless(
                    case,
                    "The disconnect is neither in sight nor lockable.",
                    "Has the appliance a switch of its own with a marked off position that opens every hot wire?",
                )
        yield case.result


def _disconnect(item: Equipment) -> Disconnect:
    if item.disconnect is None:
        raise Undecided(f"No disconnect of {item.code} is recorded. Where it is the breaker, record that.")
    return item.disconnect


def _plug(case: Case, switch: Disconnect) -> None:
    kind = case.fact("", "kind of disconnect", switch.kind)
    if kind != "cord and plug":
        raise Undecided("It has a plug, and another disconnect is recorded. Say whether the plug can be reached.")
    if not case.fact("", "plug can be reached readily", switch.readily_accessible):
        raise Undecided(
            "The plug is not readily reached. Behind a range a drawer that comes out may be enough: read 422.33."
        )
    case.holds(True, "The plug can be pulled.")


def _seen(case: Case, switch: Disconnect) -> bool:
    """Whether the disconnect is in sight as the code means it: visible, and not more than 50 ft away."""
    if not case.fact("", "disconnect within sight", switch.within_sight):
        return False
    return bool(case.fact("d", "distance to the disconnect", switch.distance) <= _IN_SIGHT)


@rule("motor_disconnect", "Can the motor be switched off where somebody works on it?")
def motor_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """In sight of the motor and within 50 ft.  One result a motor of this job.

    Source: NEC 430.102(B), Article 100 for "in sight"; its exception counts where the record confirms it.
    """
    for item in job.record.equipment:
        if not is_new(item.work) or item.kind != "motor":
            continue
        with job.case(motor_disconnect, item.code, section="430.102(B)" + FROM_MEMORY) as case:
            if _seen(case, _disconnect(item)):
                case.holds(True, "The disconnect is in sight.")
            else:
                fails_unless(
                    case,
                    "The disconnect is not in sight of the motor.",
                    "Does the exception to 430.102(B) hold: in sight it would be impracticable or a greater danger, "
                    "and the disconnect locks open?",
                )
        yield case.result


RULES: tuple[Rule, ...] = (appliance_disconnect, motor_disconnect)
