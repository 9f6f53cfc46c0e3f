"""Everyday questions of somebody who lives in the house, answered from the record alone.

What is not on record is said to be so; no answer is taken to be the good one.
"""

from __future__ import annotations

from dataclasses import dataclass

from handover.charging import FROM, LOSS, TO, charges, charging_power
from handover.checks.result import CheckResult, Verdict
from handover.pages.contents import Book, Here, telephone
from handover.pages.everyday import volts_of
from handover.pages.first_screen import Emergency, emergency_of
from handover.pages.room import result_of, service_left, whole_amperes_of
from handover.pages.shown import OPEN_WORDS, plain, said, spaces_text, table, value_text
from handover.pages.switching import called
from handover.pages.views import Link, Row, Said, Table
from handover.record.evidence import MaterialItem
from handover.record.people import Inspection
from handover.record.supply import Source
from handover.record.wiring import Equipment
from handover.safety_notes import buried_steps
from handover.trouble import without_the_utility
from handover.units import magnitude, number_text, quantity, show
from handover.words import later, tell


@dataclass(frozen=True, kw_only=True, slots=True)
class Charger:
    """One car charger: how long it takes at its set current, and what it asks of the service."""

    link: Link
    told: tuple[str, ...]
    times: Table | None


@dataclass(frozen=True, kw_only=True, slots=True)
class QuestionsPage:
    """The questions in the order in which they come up, each with its answer."""

    emergency: Emergency
    done: str
    summary: str
    materials: Table | None
    out: tuple[str, ...]
    chargers: tuple[Charger, ...]
    settings: Table | None
    never: tuple[str, ...]
    spaces: tuple[Row, ...]
    room: tuple[Row, ...]
    heater: str
    permit: str
    inspections: tuple[Row, ...]
    summary_link: Link
    calls: tuple[Row, ...]


def questions_page(here: Here) -> QuestionsPage:
    """The page of everyday questions."""
    book, record = here.book, here.book.record
    room = _room(book)
    return QuestionsPage(
        emergency=emergency_of(book),
        done=record.job.title,
        summary=record.job.summary,
        materials=_materials(record.materials),
        out=without_the_utility(book.installation),
        chargers=tuple(_charger(here, item) for item in record.equipment if item.kind == "car charger"),
        settings=_settings(here),
        never=tuple(_never(here)),
        spaces=tuple(
            Row(label=called(book, panel.code), said=_free(result_of(book, "spare_spaces", panel.code)))
            for panel in record.panels
        ),
        room=room,
        heater=_heater() if any(row.said.note for row in room) else "",
        permit=_permit(book),
        inspections=tuple(
            Row(label=visit.kind, said=_outcome(visit))
            for visit in (record.permit.inspections if record.permit else ())
        ),
        summary_link=here.entry("summary.html"),
        calls=tuple(_calls(book)),
    )


_MISSING = later("Not on record")


def _missing() -> Said:
    return Said(text=tell(_MISSING), open=True)


def _materials(materials: tuple[MaterialItem, ...]) -> Table | None:
    lines = [(plain(f"{item.what} ({item.quantity})"), _warranty(item)) for item in materials]
    columns = (later("Fitted or left as a spare"), later("Warranty until"))
    return table(tell("What was fitted"), columns, lines) if lines else None


def _warranty(item: MaterialItem) -> Said:
    until = said(item.warranty_until) or _missing()
    return Said(text=until.text, tag=until.tag, open=until.open, note=item.warranty_claim or until.note)


def _charger(here: Here, item: Equipment) -> Charger:
    current = item.set_current
    volts = volts_of(here, item)
    link = here.link(item.code)
    if current.value is None or volts.value is None:
        missing = tell("set current") if current.value is None else tell("voltage")
        basis = current.basis if current.value is None else volts.basis
        known = tell(OPEN_WORDS.get(basis, _MISSING)).lower()
        told = tell("This cannot be worked out. The {what} is: {known}.", what=missing, known=known)
        return Charger(link=link, told=(told,), times=None)
    power = charging_power(volts.value, current.value)
    lines = [
        (plain(show(charge.battery)), plain(tell("about {hours} hours", hours=f"{magnitude(charge.time, 'hour'):.1f}")))
        for charge in charges(power)
    ]
    span = tell(
        "Time to charge from {start}\u00a0% to {end}\u00a0%", start=number_text(FROM * 100), end=number_text(TO * 100)
    )
    told_power = tell(
        "It is set to {current}. At {volts} that is up to {power}.",
        current=show(current.value), volts=show(volts.value), power=show(power, "kilowatt"),
    )  # fmt: skip
    lost = tell(
        "We count that {share} % of it is lost on the way. That is common practice, not measured here.",
        share=number_text(LOSS * 100),
    )
    return Charger(
        link=link,
        told=(
            told_power,
            lost,
            tell("The car may take less than that. Then it takes longer. Cold does that too."),
            *_peak(here.book, show(current.value)),
        ),
        times=table(span, (later("Battery"), later("Time")), lines, narrow=True),
    )


def _peak(book: Book, current: str) -> tuple[str, ...]:
    """What the charger adds to the load of the house, and what the sum for the whole house came to."""
    rating = book.record.service.rating
    if rating.value is None:
        adds = tell("While it charges, it adds {current} to the load. The size of the supply is not on record.",
                    current=current)  # fmt: skip
    else:
        adds = tell(
            "While it charges, it adds {current} to the load. The supply of the house is made for {rating}.",
            current=current, rating=show(rating.value),
        )  # fmt: skip
    result = result_of(book, "spare_service", book.record.service.at)
    verdict = result.verdict if result else Verdict.UNDECIDED
    return adds, tell(_SUMS[verdict])


_SUMS = {
    Verdict.PASS: later("The sum for the whole house was checked, and it is within the supply."),
    Verdict.FAIL: later("The sum for the whole house was checked, and it is more than the supply. Ask an electrician."),
    Verdict.UNDECIDED: later(
        "If the supply is enough for the whole house cannot be decided: facts are missing. Ask an electrician."
    ),
    Verdict.NOT_APPLICABLE: later("If the supply is enough depends on what else runs at the time. Ask an electrician."),
}


def _settings(here: Here) -> Table | None:
    every = [
        (
            Said(text=item.name, href=here.code(item.code)),
            _left_at(tell(setting.name), said(setting.value)),
            plain(setting.may_change) if setting.may_change else _missing(),
        )
        for item in here.book.record.equipment
        for setting in item.settings
    ]
    every += [
        (
            Said(text=item.name, href=here.code(item.code)),
            _left_at(tell("Highest current"), said(item.set_current)),
            plain(tell("an electrician only")),
        )
        for item in here.book.record.equipment
        if item.set_current.known and not item.settings
    ]
    columns = (later("Equipment"), later("Left at"), later("Who may change it"))
    return table(tell("Settings as we left them"), columns, every) if every else None


def _left_at(name: str, value: Said | None) -> Said:
    shown = value or _missing()
    return Said(text=f"{name}: {shown.text}", tag=shown.tag, open=shown.open, note=shown.note)


def _never(here: Here) -> list[str]:
    book = here.book
    lines = [
        tell("Never put in a larger breaker. Its size fits the wires behind it."),
        tell("Never take the inner cover off a panel."),
    ]
    for item in book.record.equipment:
        if item.set_current.known:
            lines.append(
                tell(
                    "Never raise the current of {name}. It was left at {current}.",
                    name=called(book, item.code), current=value_text(item.set_current),
                )
            )  # fmt: skip
    for source in book.record.sources:
        position = book.installation.position(source.code)
        if source.kind == "solar" and position is not None:
            where = f"{called(book, position.panel.code)}, {spaces_text(position.slot)}"
            lines.append(tell("Never move the solar breaker to another place: {place}.", place=where))
    for unknown in book.record.unknowns:
        lines.append(tell("Leave this as it is, nobody could explain it: {place}.", place=unknown.place))
    for run in book.record.runs:
        if buried_steps(run):
            lines.append(tell("Never dig or plant along this buried line: {run}.", run=called(book, run.code)))
    lines.append(tell("Never take off or paint over a label."))
    return lines


def _free(result: CheckResult | None) -> Said:
    """How many spaces hold no breaker, where every space is on record."""
    if result is None or result.value is None:
        return Said(text=tell("Not every space is on record"), open=True)
    free = round(magnitude(result.value, "dimensionless"))
    if free <= 0:
        return plain(tell("No space is free"))
    return plain(tell("1 space is free") if free == 1 else tell("{number} spaces are free", number=free))


def _room(book: Book) -> tuple[Row, ...]:
    """How much more the supply and each feeder of this job could carry, as far as the checks decide it."""
    result, amperes = service_left(book)
    rows = [Row(label=later("The supply of the house"), said=_left(result, amperes))]
    for feeder in book.record.feeders:
        found = result_of(book, "spare_feeder", feeder.code)
        if found is not None:
            left = show(found.value) if found.value is not None else ""
            rows.append(Row(label=called(book, feeder.code), said=_left(found, left)))
    return tuple(rows)


def _left(result: CheckResult | None, amperes: str) -> Said:
    if result is None or result.verdict is Verdict.UNDECIDED:
        return Said(text=tell("Cannot be decided: facts are missing. Ask an electrician."), open=True)
    if result.verdict is Verdict.NOT_APPLICABLE:
        return plain(tell("Depends on what else runs. Ask an electrician."))
    if result.verdict is Verdict.FAIL:
        return Said(text=tell("None: the sum is more than it is made for. Ask an electrician."), open=True)
    left = whole_amperes_of(amperes)
    return Said(
        text=tell("Up to {amperes} by the sum. Ask an electrician.", amperes=left),
        note=_beside_a_heater(float(left.partition(" ")[0])),
    )


_HEATER, _OUTLET = quantity(1500, "watt"), quantity(120, "volt")
"""A common size of a plug-in heater (common practice, not of this record), and the voltage of the outlet it is in."""


def _heater_takes() -> float:
    """Watts by volts: 12.5 A."""
    return magnitude(_HEATER, "watt") / magnitude(_OUTLET, "volt")


def _beside_a_heater(left: float) -> str:
    """What is left, beside something that people know.  All of the heater counts on one hot wire, as it would run."""
    than = (
        later("That is more than one plug-in heater takes.")
        if left > _heater_takes()
        else later("That is less than one plug-in heater takes.")
    )
    return tell(than)


def _heater() -> str:
    return tell(
        "To compare: a plug-in heater of a common size has {power}. At {volts} it takes {amperes}: "
        "{watts} divided by {outlet}. That size is common practice, not from this record.",
        power=f"{magnitude(_HEATER, 'watt'):,.0f} W", volts=show(_OUTLET),
        amperes=show(quantity(_heater_takes(), "ampere")),
        watts=f"{magnitude(_HEATER, 'watt'):,.0f}", outlet=number_text(magnitude(_OUTLET, "volt")),
    )  # fmt: skip


def _permit(book: Book) -> str:
    permit = book.record.permit
    if permit is None:
        return tell("No permit is on record.")
    if not permit.inspections:
        return tell("There is a permit. No visit of an inspector is on record.")
    return tell("There is a permit. This came of the inspector's visits:")


def _outcome(visit: Inspection) -> Said:
    """What came of a visit, and when: as loudly where it is unknown."""
    result, date = said(visit.result), said(visit.date)
    if result is None:
        return _missing()
    day = f", {date.text}" if date else ""
    return Said(text=f"{result.text}{day}", tag=result.tag, open=result.open)


def _calls(book: Book) -> list[Row]:
    record = book.record
    emergency, contractor = record.emergency, record.contractor
    rows = [
        Row(label=later("Fire, smoke, shock"), said=_dial(emergency.call)),
        Row(label=emergency.utility, said=_dial(emergency.utility_line, later("no power, wires down"))),
        Row(label=contractor.name, said=_dial(contractor.phone, later("all about this work"))),
    ]
    if any(buried_steps(run) for run in record.runs):
        rows.append(Row(label=later("Before you dig"), said=_dial("811", later("and look at the drawing first"))))
    rows += [Row(label=called(book, source.code), said=_operator(source)) for source in record.sources]
    names = {item.code: item for item in record.equipment}
    rows += [
        Row(label=called(book, item.for_code), said=plain(item.warranty_claim, tag=tell("warranty")))
        for item in record.materials
        if item.for_code in names and item.warranty_claim
    ]
    return rows


def _dial(number: str, about: str = "") -> Said:
    return Said(text=number, href=telephone(number), tag=tell(about) if about else "")


def _operator(source: Source) -> Said:
    phone = source.operator_phone
    if phone.value is None:
        return Said(text=tell("No number on record"), open=True, note=tell("Look on its label."))
    return _dial(value_text(phone.value))
