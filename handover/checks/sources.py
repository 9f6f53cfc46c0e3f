"""Rules about generators and transfer equipment, and the sign that tells of every other source."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.supply import Transfer


@rule("sources_posted", "Does a sign at the service tell of every other source and where it is switched off?")
def sources_posted(job: JobUnderCheck) -> Iterator[CheckResult]:
    """One question to a person, where the record has any other source.  Source: NEC 705.10, 702.7(A)."""
    with job.case(sources_posted, job.record.service.at, section="702.7(A); 705.10" + FROM_MEMORY) as case:
        if not job.record.sources:
            raise NotApplicable("No other source is recorded.")
        for source in job.record.sources:
            seen = len(source.labels_seen)
            case.given("", f"labels seen that tell of {source.code}", seen, str(source.written_at) or "the record")
        ask(case, "Does a permanent sign at the service equipment name every other source and its disconnect?")
    yield case.result


@rule("transfer_prevents_paralleling", "Is it impossible for the generator and the utility to be joined?")
def transfer_prevents_paralleling(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Listed transfer equipment, or an interlock listed for the panel: a person has to have seen the marking.

    One result each transfer equipment.  Source: NEC 702.5.
    """
    for transfer in job.record.transfers:
        with job.case(transfer_prevents_paralleling, transfer.code, section="702.5" + FROM_MEMORY) as case:
            kind = case.fact("", f"kind of {transfer.code}", transfer.kind)
            ask(
                case,
                "Is the interlock kit listed for this very panel, and does it block both breakers being on?"
                if kind == "interlocked breakers"
                else "Is this marked as listed transfer equipment, so that both sides can never be closed together?",
            )
        yield case.result


@rule("standby_capacity", "If the generator starts by itself, can it carry all that is switched onto it?")
def standby_capacity(job: JobUnderCheck) -> Iterator[CheckResult]:
    """With automatic transfer the source carries the calculated load, or load is managed automatically.

    A load that people choose by hand may be any.  One result each transfer equipment.
    Source: NEC 702.4 (its parts are numbered otherwise by edition).
    """
    for transfer in job.record.transfers:
        with job.case(standby_capacity, transfer.code, section="702.4" + FROM_MEMORY) as case:
            if case.fact("", f"kind of {transfer.code}", transfer.kind) != "automatic":
                case.holds(True, "Somebody chooses by hand what runs, so the source may be of any size.")
            elif transfer.load_management.value:
                case.fact("", f"automatic load management at {transfer.code}", transfer.load_management)
                case.holds(True, "Automatic load management keeps the load within what the source can give.")
            else:
                _carries_the_load(case, transfer)
        yield case.result


def _carries_the_load(case: Case, transfer: Transfer) -> None:
    source = case.job.installation.sources.get(transfer.source)
    if source is None:
        raise Undecided(f"{transfer.code} names no source of this record.")
    if not transfer.calculated_load.known:
        raise Undecided(
            f"No automatic load management is recorded for {transfer.code} ({transfer.load_management}), so the source "
            f"must carry the whole calculated load of {transfer.feeds}, and that is not recorded. Record it, or find "
            "out whether load is shed."
        )
    load = case.fact("I", f"calculated load that {transfer.code} may put on the source", transfer.calculated_load)
    gives = case.fact("Is", f"output current of {source.code}", source.output_current)
    if gives < load:
        case.fact("", f"automatic load management at {transfer.code}", transfer.load_management)
    case.compare(value=gives, limit=load, at_least=True)


@rule("generator_shutdown", "Can the generator be stopped from outside the house?")
def generator_shutdown(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A readily accessible emergency shutdown outside, for a new generator that is not portable.

    A question to a person, one result a new generator; 2017 does not ask for it.
    Source: NEC 445.18(D) in 2020, 445.19(C) in 2023, as a trade magazine tells both.
    """
    section = {2017: "445.18", 2020: "445.18(D)", 2023: "445.19(C)"}
    for source in job.record.sources:
        if source.kind != "generator" or not is_new(source.work):
            continue
        with job.case(generator_shutdown, source.code, section=section) as case:
            if job.edition < 2020:
                raise NotApplicable("Asked from the 2020 edition on.")
            if case.fact("", f"{source.code} is portable, with cord and plug", source.portable):
                raise NotApplicable("A portable generator with cord and plug.")
            ask(case, "Is there an emergency shutdown of the generator outside the house, readily accessible?")
        yield case.result


@rule("source_neutral", "Do the generator's neutral bond and the transfer switch fit together?")
def source_neutral(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A bond at the source only where the neutral is switched, and then always.  One result each transfer equipment.

    Two bonds at once put current on bare metal; none leaves a fault without a way back.
    Source: NEC 250.20(D) and 250.30 for separately derived sources; 702.11 for a portable generator.  Automatic
    transfer belongs to a permanently installed one; of any other the record does not say which it is.
    """
    for transfer in job.record.transfers:
        portable = "" if transfer.kind.value == "automatic" else "; 702.11 where the generator is portable"
        section = f"250.20(D) and 250.30{portable}{FROM_MEMORY}"
        with job.case(source_neutral, transfer.code, section=section) as case:
            source = job.installation.sources.get(transfer.source)
            if source is None:
                raise Undecided(f"{transfer.code} names no source of this record.")
            switched = case.fact("", f"{transfer.code} switches the neutral", transfer.switches_neutral)
            bonded = case.fact("", f"neutral of {source.code}", source.neutral) == "bonded at the source"
            told = f"Neutral {'' if switched else 'not '}switched, {'' if bonded else 'not '}bonded at the source"
            case.holds(switched == bonded, f"{told}: {'these fit' if switched == bonded else 'these do not fit'}.")
        yield case.result


RULES: tuple[Rule, ...] = (
    sources_posted,
    transfer_prevents_paralleling,
    standby_capacity,
    source_neutral,
    generator_shutdown,
)
