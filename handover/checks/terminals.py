"""Rules about terminals: their temperature, and whether they are made for aluminum where there is any."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.ampacities import insulation_column
from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import breaker_of, hot_wires, terminal_column, wiring_of_this_job
from handover.checks.result import CheckResult
from handover.record.wiring import Circuit, Wiring
from handover.units import magnitude

_SMALL_DEVICE = 20.0  # amperes; 406.3(C) is about receptacles to this rating


@rule("terminal_temperature", "Do wire and terminals fit each other's temperature?")
def terminal_temperature(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Above 100 A wire rated for at least 75 °C; and the column by which the ampacity is read.  One result a wiring.

    To 100 A any wire may be used by the 60 °C column, and by that of 75 °C where every terminal is so marked.  Where a
    circuit's own panel contradicts its mark it is undecided.  Source: NEC 110.14(C)(1).
    """
    for wiring in wiring_of_this_job(job):
        with job.case(terminal_temperature, wiring.code, section="110.14(C)(1)") as case:
            breaker = breaker_of(case, wiring)
            wires = hot_wires(case, wiring)
            runs = case.job.installation.runs_of(wiring)
            columns = [insulation_column(case, wires, run) for run in runs] or [insulation_column(case, wires, None)]
            terminal = terminal_column(case, wiring, breaker)
            _agrees_with_panel(case, wiring)
            rated = min(columns)
            used = min(rated, terminal.column)
            case.step("the lower of wire and terminals", f"{rated} °C; {terminal.column} °C", f"{used} °C column")
            if magnitude(breaker, "ampere") > 100 and rated < 75:
                case.holds(False, f"Above 100 A the wire has to be rated for 75 °C; this one is for {rated} °C.")
            else:
                case.holds(True, f"The wire's final ampacity is read in the column of {used} °C, and no higher.")
        yield case.result


def _agrees_with_panel(case: Case, wiring: Wiring) -> None:
    position = case.job.installation.position(wiring.code)
    if position is None or wiring.terminals.value != "75 °C":
        return
    panel = position.panel
    case.given(
        "panel", f"terminals of {panel.code}", panel.terminals, str(panel.terminals.place) or "not in the record"
    )
    if panel.terminals.value == "60 °C":
        raise Undecided(
            f"The terminals of {wiring.code} are recorded at 75 °C, those of {panel.code}, where it starts, at 60 °C. "
            "Read both marks: the lower one of the circuit holds."
        )


@rule("aluminum_terminals", "Are the terminals made for aluminum wire, and is none of it joined to copper?")
def aluminum_terminals(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Asked, where any conductor is aluminum or copper-clad aluminum.  One result a new wiring with such a conductor.

    Wiring of copper throughout gives no result.  Source: NEC 110.14, 110.14(A) and (B); 406.3(C) for receptacles.
    """
    for wiring in wiring_of_this_job(job):
        metals = [entry.material.value for entry in wiring.conductors]
        if not metals or all(metal == "copper" for metal in metals):
            continue
        with job.case(aluminum_terminals, wiring.code, section="110.14(A) and (B)" + FROM_MEMORY) as case:
            for entry in wiring.conductors:
                case.fact("metal", f"metal of {wiring.code}, {entry.role}", entry.material)
            receptacles = isinstance(wiring, Circuit) and any(
                outlet.kind == "receptacle"
                and (outlet.rating.value is None or magnitude(outlet.rating.value, "ampere") <= _SMALL_DEVICE)
                for outlet in wiring.outlets
            )
            devices = ", every receptacle to 20 A CO/ALR (406.3(C))" if receptacles else ""
            ask(
                case,
                f"Is every breaker, lug and splice on the aluminum conductors of {wiring.code} marked for aluminum "
                f"(AL){devices}, and are aluminum and copper in contact nowhere but in a connector marked for both?",
            )
        yield case.result


RULES = (terminal_temperature, aluminum_terminals)
