"""Where each kind of cable may be laid, and where not."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.runs_of import RACEWAYS, WET, Piece, recorded_pieces, runs_of_this_job, sections
from handover.record.wiring import BENDS, Run

_SECTIONS = {
    "NM-B": "334.12",
    "UF-B": "340.12" + FROM_MEMORY,
    "SE": "338.10 and 338.12",
    "USE-2": "338.12",
    "AC": "320.12" + FROM_MEMORY,
    "MC": "330.10 and 330.12" + FROM_MEMORY,
}
_INSIDE = ("indoors", "attic", "crawl space", "in a wall")
_BARRED = {
    "NM-B": (WET, "not for wet or damp places, nor for earth (334.12(B)(4))"),
    "AC": (WET, "not for wet or damp places (320.12)"),
    "SE": (("underground",), "not for use underground, in a raceway or not (338.12(A)(2))"),
    "USE-2": (_INSIDE, "not for interior wiring (338.12(B)(1))"),
}
_QUESTIONS = (
    ("NM-B", _INSIDE, "is the NM cable embedded nowhere in concrete, and in normally dry places everywhere"),
    ("UF-B", ("outdoors", "roof"), "is the UF cable, where the sun reaches it, marked as resistant to sunlight"),
    ("UF-B", _INSIDE, "is the UF cable embedded nowhere in concrete"),
    ("USE-2", ("outdoors", "roof"),
     "does the USE cable above ground only come up to an enclosure outdoors, protected as 300.5(D) asks"),
    ("MC", ("outdoors", "roof"), "is the MC cable marked or jacketed for wet places"),
    ("MC", ("underground",), "is the MC cable marked for direct burial"),
)  # fmt: skip


@rule("cable_limits", "May this kind of cable lie where it lies?")
def cable_limits(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each kind of cable against the places it is barred from; what only its marking tells is asked.

    One result a run of this job that is cable, wholly or in part.  A raceway between the same two boxes is taken for a
    sleeve around the cable, which does not make a wet place dry (300.5(B), 300.9).  Runs without cable give no result.
    Source: NEC sections .10 and .12 of each cable's article; 338.10(B)(2) for a bare neutral.
    """
    for run in runs_of_this_job(job):
        kinds = sorted({run.method, *(step.method for step in run.path if step.method)} - set(RACEWAYS))
        if not kinds:
            continue
        with job.case(cable_limits, run.code, section="; ".join(_SECTIONS[kind] for kind in kinds)) as case:
            _judge(case, run)
        yield case.result


def _judge(case: Case, run: Run) -> None:
    laid = _laid(case, run)
    if not laid:
        raise Undecided(f"Where the cable of {run.code} lies is not recorded: the straight pieces of its path.")
    barred = [
        f"{kind} cable at {piece.named}: {why}"
        for kind, piece in laid
        for places, why in [_BARRED.get(kind, ((), ""))]
        if piece.step.surroundings in places
    ]
    if any(kind == "SE" for kind, _ in laid) and _bare_neutral(case, run):
        if run.work != "new":
            raise Undecided(
                f"{run.code} is SE cable with a bare neutral, which only an existing circuit or feeder may keep "
                "(338.10(B)(2) exception). Judge it by hand."
            )
        barred.append("SE cable with a bare neutral (338.10(B)(2))")
    if barred:
        case.holds(False, f"{'. '.join(barred)}.")
        return
    asked = [
        question
        for cable, places, question in _QUESTIONS
        if any(kind == cable and piece.step.surroundings in places for kind, piece in laid)
    ]
    if asked:
        text = ", and ".join(asked)
        ask(case, f"{run.code}: {text}?")
    else:
        case.holds(True, "Every piece lies where its kind of cable may lie.")


def _laid(case: Case, run: Run) -> list[tuple[str, Piece]]:
    """The pieces that are cable, or a sleeve around it, with the kind of cable; each with its surroundings noted."""
    recorded_pieces(run)
    found: list[tuple[str, Piece]] = []
    for _, between in sections(run):
        cables = sorted({piece.method for piece in between} - set(RACEWAYS))
        for piece in between:
            if not cables or piece.step.step not in ("straight", *BENDS):
                continue
            if piece.step.surroundings is None:
                if piece.step.step == "straight":
                    raise Undecided(f"The surroundings of {run.code}, {piece.named}, are not recorded.")
                continue
            kind = piece.method if piece.method in cables else cables[0]
            case.given("", f"{kind} cable at {piece.named}", piece.step.surroundings, str(piece.step.written_at))
            found.append((kind, piece))
    return found


def _bare_neutral(case: Case, run: Run) -> bool:
    neutrals = [entry for entry in case.job.installation.conductors_in(run) if entry.role == "neutral"]
    marked = [case.fact("neutral", f"insulation of a neutral in {run.code}", entry.insulation) for entry in neutrals]
    return any(text.strip().lower() == "bare" for text in marked)


RULES = (cable_limits,)
