"""Which markings the code asks for on the installation, as data, and whether the record shows that each is there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from handover.checks.asking import FROM_MEMORY
from handover.checks.busbars import (
    OPPOSITE_END,
    SUM_OF_BREAKERS,
    interactive_sources,
    leans_on_120_percent,
    leans_on_sum,
    sources_reaching_bus,
)
from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, touched_panels
from handover.record.evidence import Marking

_EVIDENT = ("breaker", "cord and plug")


@dataclass(frozen=True, slots=True)
class Required:
    """A marking that the code asks for: its kind in the record, its section by edition, and at which things.

    ``told`` looks for the marking elsewhere in the record than under ``markings``: the place where it is told, or "".
    ``doubt`` is what has to be found out before it can be said to be asked for at a thing, or "".
    ``advice``: about what was there before this job.
    """

    kind: str
    section: dict[int, str]
    at: Callable[[JobUnderCheck], Iterator[str]]
    told: Callable[[JobUnderCheck, str], str] = lambda _job, _code: ""
    doubt: Callable[[JobUnderCheck, str], str] = lambda _job, _code: ""
    advice: bool = False


def _alike(section: str) -> dict[int, str]:
    return dict.fromkeys((2017, 2020, 2023), section)


def _replaced_service(job: JobUnderCheck) -> Iterator[str]:
    panel = job.installation.panels.get(job.record.service.at)
    if job.record.service.replaced_on_this_job.value is not False or (panel is not None and panel.work == "new"):
        yield job.record.service.at


def _service_told(job: JobUnderCheck, _code: str) -> str:
    marked = job.record.service.disconnect_marked
    return str(marked.place) if "SERVICE DISCONNECT" in (marked.value or "").upper() else ""


def _disconnects(job: JobUnderCheck) -> Iterator[str]:
    for panel in job.record.panels:
        if is_new(panel.work) and panel.main_kind == "main breaker" and panel.separate_building:
            yield panel.code
    for item in job.record.equipment:
        if is_new(item.work) and item.disconnect is not None and item.disconnect.kind.value not in _EVIDENT:
            yield item.code


def _backfed(job: JobUnderCheck, leans: Callable[[JobUnderCheck, str], bool | None]) -> Iterator[str]:
    touched = {panel.code for panel in touched_panels(job)}
    for source in interactive_sources(job):
        position = job.installation.position(source.code)
        if position is None or not (position.panel.code in touched or is_new(source.work)):
            continue
        if leans(job, position.panel.code) is not False:
            yield source.code


def _by_120_percent(job: JobUnderCheck) -> Iterator[str]:
    return _backfed(job, lambda job, code: leans_on_120_percent(job, job.installation.panels[code]))


def _by_sum(job: JobUnderCheck) -> Iterator[str]:
    return (
        panel.code for panel in touched_panels(job) if sources_reaching_bus(job, panel) and leans_on_sum(job, panel)
    )


def _do_not_relocate_told(job: JobUnderCheck, code: str) -> str:
    source = job.installation.sources.get(code)
    if source is not None and any("DO NOT RELOCATE" in label.upper() for label in source.labels_seen):
        return str(source.place_of("labels_seen"))
    return ""


def _new_sources(job: JobUnderCheck) -> Iterator[str]:
    return (source.code for source in interactive_sources(job) if is_new(source.work))


def _new_standby(job: JobUnderCheck) -> Iterator[str]:
    return (each.code for each in job.record.transfers if is_new(each.work))


def _inlets(job: JobUnderCheck) -> Iterator[str]:
    sources = job.installation.sources
    for transfer in job.record.transfers:
        source = sources.get(transfer.source)
        if not is_new(transfer.work) or source is None or source.kind != "generator":
            continue
        if source.portable.value is not False:
            yield transfer.code


def _perhaps_no_inlet(job: JobUnderCheck, code: str) -> str:
    transfer = job.installation.transfers.get(code)
    source = job.installation.sources.get(transfer.source) if transfer is not None else None
    if source is None or source.portable.known:
        return ""
    return (
        f"Whether {source.code} is portable, plugged in at an inlet that has to be marked, is not recorded. Record it."
    )


def _adjusted_chargers(job: JobUnderCheck) -> Iterator[str]:
    for item in job.record.equipment:
        if item.kind != "car charger" or not is_new(item.work) or item.set_current.value is None:
            continue
        if item.current.value is None or item.set_current.value < item.current.value:
            yield item.code


def _charger_told(job: JobUnderCheck, code: str) -> str:
    for item in job.record.equipment:
        if item.code == code and item.rating_label.known:
            return str(item.rating_label.place)
    return ""


def _without_ground(job: JobUnderCheck) -> Iterator[str]:
    for finding in job.record.findings:
        if finding.kind == "no equipment ground":
            yield finding.code or next(iter(finding.of), job.record.service.at)


REQUIRED: tuple[Required, ...] = (
    Required("service disconnect", _alike("230.70(B)" + FROM_MEMORY), _replaced_service, _service_told),
    Required("purpose of disconnect", _alike("110.22(A)" + FROM_MEMORY), _disconnects),
    Required("do not relocate", OPPOSITE_END, _by_120_percent, _do_not_relocate_told),
    Required("sum of breakers", SUM_OF_BREAKERS, _by_sum),
    Required("other sources", _alike("705.10" + FROM_MEMORY), _new_sources),
    Required("standby source", _alike("702.7(A)"), _new_standby),
    Required("generator inlet", _alike("702.7(C)"), _inlets, doubt=_perhaps_no_inlet),
    Required("charger rating", {2020: "625.42" + FROM_MEMORY, 2023: "625.42(B)"}, _adjusted_chargers, _charger_told),
    Required("no equipment ground", _alike("406.4(D)(2)" + FROM_MEMORY), _without_ground, advice=True),
)
"""Source: NEC, the sections of each.  625.42 of 2017 does not speak of an adjusted rating; 2026 was not read."""


@rule("required_markings", "Does the record show every marking that the code asks for here?")
def required_markings(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each marking asked for at a thing is recorded, with a photo or a note; one that is said not to be there fails.

    One result a thing.  Directory, sign for all sources and emergency disconnect have rules of their own.  A marking on
    site is what counts: a label with a code to scan takes the place of none of these.  Source: NEC, see ``REQUIRED``.
    """
    asked: dict[str, list[Required]] = {}
    for required in REQUIRED:
        if job.edition in required.section or job.edition > max(required.section):
            for code in required.at(job):
                asked.setdefault(code, []).append(required)
    for code, group in asked.items():
        advice = all(required.advice for required in group)
        with job.case(required_markings, code, section=_sections(group), advice=advice) as case:
            _judge(case, code, group)
        yield case.result


def _sections(group: list[Required]) -> dict[int, str]:
    editions = {edition for required in group for edition in required.section}
    return {
        edition: "; ".join(dict.fromkeys(each.section[edition] for each in group if edition in each.section))
        for edition in sorted(editions)
    }


def _judge(case: Case, code: str, group: list[Required]) -> None:
    absent: list[str] = []
    unsaid: list[str] = []
    doubts: list[str] = []
    for required in group:
        found = [each for each in case.job.record.markings if (each.kind, each.at) == (required.kind, code)]
        told = required.told(case.job, code)
        if any(not each.there for each in found):
            absent.append(required.kind)
        elif not told and not any(each.photo or each.note for each in found):
            doubt = required.doubt(case.job, code)
            (doubts if doubt else unsaid).append(doubt or required.kind)
        shown = _shown(found, told)
        case.given("", f"marking: {required.kind}", shown, _place(found, told))
    if absent:
        case.holds(False, f"Looked for and not there: the marking {_quoted(absent)}.")
    elif unsaid:
        raise Undecided(
            f"Not in the record with a photo or a note: the marking {_quoted(unsaid)}. Look whether it is there, then "
            f"record it under markings: kind, at: {code}, and a photo or note; or there: no."
        )
    elif doubts:
        raise Undecided(" ".join(doubts))
    else:
        case.holds(True, f"Recorded: the marking {_quoted([required.kind for required in group])}.")


def _quoted(kinds: list[str]) -> str:
    return ", ".join(f'"{kind}"' for kind in kinds)


def _shown(found: list[Marking], told: str) -> str:
    if any(not each.there for each in found):
        return "not there"
    if any(each.photo for each in found):
        return "with a photo"
    if any(each.note for each in found):
        return "with a note"
    return "told elsewhere in the record" if told else "not recorded"


def _place(found: list[Marking], told: str) -> str:
    return str(found[0].written_at) if found and found[0].written_at.file else told or "not in the record"


RULES: tuple[Rule, ...] = (required_markings,)
