"""The rest of the rescue kit: door card, directories, tags, signs, route labels, from the record as posted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from handover.addresses import address_of
from handover.checks.case import JobUnderCheck
from handover.editions import record_for, record_in
from handover.labels import signs
from handover.labels.art import Row
from handover.labels.directory import directory_cards
from handover.labels.make import KEEP_CLEAR, MATERIAL, code_for, outdoors_of
from handover.labels.plate import (
    CARD,
    DETAIL,
    HALF_INCH,
    MESSAGE,
    SIGNAL,
    THREE_SIXTEENTHS,
    Plate,
    plate,
    strip,
    to_svg,
)
from handover.labels.routes import buried_runs, route_rows
from handover.labels.signs import ALL_LINES, Sign, signs_for
from handover.labels.wording import Wording, catalogue, sign_wording, tag_reason
from handover.labels.words import name, place_of, rating, said
from handover.pack import Edition, Label
from handover.qr import module_for
from handover.record.installation import Installation
from handover.record.record import Record
from handover.record.supply import Panel
from handover.record.wiring import Equipment
from handover.trouble import switch_off_steps
from handover.words import OWN, languages, speaking, tell, words

_CARD_HEIGHT, _CARD_LETTERS = 194.0, (1.0, 0.95, 0.9, 0.85, 0.8)
"""What a Letter page has room for with what is told below a card, and how much smaller its letters may get for that."""
_CARD_WIDTH, _SIGN_WIDTH, _SMALL_SIGN_WIDTH, _RED_WIDTH, _TAG_WIDTH = 176.0, 140.0, 100.0, 160.0, 100.0
_INSIDE_A_PANEL = ("do_not_relocate", "sum_of_breakers")
_ON_A_COVER = ("no_equipment_ground", "gfci_protected")
_THREE_EIGHTHS = ("rapid_shutdown_switch", "dc_raceway")  # letters of 3/8 in do; the service's take 1/2 in
_SWITCHES = ("switch", "pull-out", "fused switch")
# Questions of the check whose recorded answer tells that a sign hangs there.
_CONFIRMED_BY = {
    "several_sources": "sources_posted",
    "standby_source": "sources_posted",
    "emergency_disconnect_building": "emergency_disconnect",
}
_COLOURED = {
    False: "Printed polyester label with a clear top layer, in the colors shown.",
    True: "Polyester or aluminum sign in the colors shown, with a top layer that holds off sunlight; matte.",
    None: "It is not recorded whether this place is outdoors, so as for outdoors: polyester or aluminum sign in the"
    " colors shown, with a top layer that holds off sunlight; matte.",
}


def make_kit(full: Record) -> tuple[Label, ...]:
    """Everything to post besides the labels with a code of their own.  ``full`` is redacted here: walls are public.

    Raises JobProblems where the address is too long, or has a letter that a code cannot hold.
    """
    posted = record_for(Edition.POSTED, full)
    job = JobUnderCheck(posted, posted.code.edition)
    return (
        *_door_cards(full),
        *_directories(job.installation),
        *_fed_from(job.installation),
        *_ratings(job.installation),
        *_signs(job),
        *_routes(job.installation),
    )


def not_made(full: Record) -> tuple[str, ...]:
    """What could not be made, and what to find out first."""
    posted = record_for(Edition.POSTED, full)
    return tuple(signs.not_made(JobUnderCheck(posted, posted.code.edition)))


def _made(
    art: Plate, *, file: str, code: str, goes: str, material: str, why: str, state: str = "", address: str | None = None
) -> Label:
    return Label(
        name=file,
        code=code,
        title=art.title,
        svg=to_svg(art),
        width_mm=art.width,
        height_mm=art.height,
        quiet_box=art.quiet_box,
        address=address,
        goes=goes,
        material=material,
        why=why,
        state=state,
    )


def _door_cards(full: Record) -> Iterator[Label]:
    """The card in each language there is; whoever lives there posts the one that is read."""
    for language, called in languages().items():
        with speaking(language):
            card = _door_card(Installation(record_in(language, Edition.POSTED, full)))
        yield card if language == OWN else replace(card, name=f"door-card-{language}", title=f"{card.title}: {called}")


def _door_card(installation: Installation) -> Label:
    record, told = installation.record, words("door_card")
    facts = {
        "call": record.emergency.call,
        "utility": record.emergency.utility,
        "line": record.emergency.utility_line,
        "contractor": record.contractor.name,
        "phone": record.contractor.phone,
        "card": tell("the card in the panel's door names it"),
    }
    address = address_of(record.job)
    rows = [
        Row(told["title"], MESSAGE, bold=True),
        Row(told["danger"].format_map(facts), DETAIL, bold=True, most_lines=ALL_LINES),
        *(
            Row(told[key].format_map(facts), DETAIL, bold=True, most_lines=ALL_LINES)
            for key in ("utility", "electrician")
        ),
        Row(told["off"], DETAIL, bold=True),
        *(
            Row(f"{number}. {step}", CARD, most_lines=ALL_LINES)
            for number, step in enumerate(switch_off_steps(installation), 1)
        ),
        *_parts_of_the_house(installation, told),
        Row(told["tripped"], DETAIL, bold=True),
        *(Row(line, CARD, most_lines=ALL_LINES) for line in told["tripped_steps"].format_map(facts).splitlines()),
        Row(f"{told['more']} {address.removeprefix('HTTPS://')}", CARD, most_lines=ALL_LINES),
    ]
    code = code_for(record.job, address)
    # As large as outdoors: it is read in the dark, in a hurry.
    module = module_for(code, outdoors=True)
    for share in _CARD_LETTERS:
        smaller = [replace(row, size=row.size * share) for row in rows]
        art = plate("Door card", smaller, plate_width=_CARD_WIDTH, code=code, module=module)
        if art.height <= _CARD_HEIGHT:
            break
    return _made(
        art,
        file="door-card",
        code="",
        address=address,
        goes="Indoors, where everybody living here finds it: inside a cupboard door near the entrance, or beside the"
        " panel. Not outdoors: it tells how the place is switched off.",
        material="Heavy paper, laminated.",
        why="",
    )


def _parts_of_the_house(installation: Installation, told: dict[str, str]) -> Iterator[Row]:
    """Another building switched off without going into it, and what comes back when a generator starts."""
    for panel in installation.record.panels:
        at = installation.fed_from(panel)
        if panel.separate_building and at is not None:
            place = f"{place_of(at)}, {at.panel.place}"
            text = told["building"].format_map({"name": name(panel), "place": place})
            yield Row(text, CARD, bold=True, most_lines=ALL_LINES)
    for transfer in installation.record.transfers:
        source, behind = installation.sources.get(transfer.source), installation.panels.get(transfer.feeds)
        if source is not None and behind is not None and source.starts_by_itself.value is not False:
            text = told["came_back"].format_map({"source": name(source), "panel": name(behind)})
            yield Row(text, CARD, bold=True, most_lines=ALL_LINES)


def _directories(installation: Installation) -> Iterator[Label]:
    for panel in installation.record.panels:
        if panel.work == "existing":
            continue
        cards = directory_cards(installation, panel, catalogue())
        for number, art in enumerate(cards, 1):
            yield _made(
                art,
                file=f"directory-{panel.code}" + (f"-{number}" if len(cards) > 1 else ""),
                code=panel.code,
                goes=f"On or inside the door of {panel.code}, or right beside it, {panel.place}. Compare each entry"
                " with the findings of the check before it is posted; take the old card away, and keep it.",
                material="Heavy paper, laminated or in a sleeve that is fixed to the door. Nothing loose inside.",
                why=tag_reason("directory", installation.record.code.edition),
            )


def _fed_from(installation: Installation) -> Iterator[Label]:
    edition = installation.record.code.edition
    for panel in installation.record.panels:
        if panel.work != "existing" and panel is not installation.service_panel:
            yield _made(
                plate(f"Fed from: {panel.code}", tuple(_panel_feed(installation, panel)), plate_width=_TAG_WIDTH),
                file=f"fed-from-{panel.code}",
                code=panel.code,
                goes=f"On the front of {panel.code}, {panel.place}. {KEEP_CLEAR}",
                material=MATERIAL[outdoors_of(installation, panel)],
                why=tag_reason("purpose" if _cuts_off_a_building(panel) else "fed_from", edition),
                state=_state(installation.record, "purpose of disconnect", panel.code),
            )
    for item in installation.record.equipment:
        switch = item.disconnect
        if item.work != "existing" and switch is not None and switch.kind.value in _SWITCHES:
            yield _made(
                plate(f"Disconnect of {item.code}", tuple(_disconnect(installation, item)), plate_width=_TAG_WIDTH),
                file=f"fed-from-{item.code}",
                code=item.code,
                goes=f"On the disconnect: {switch.place}. {KEEP_CLEAR}",
                material=MATERIAL[item.outdoors.value],
                why=tag_reason("purpose", edition),
                state=_state(installation.record, "purpose of disconnect", item.code),
            )


def _cuts_off_a_building(panel: Panel) -> bool:
    return panel.separate_building and panel.main_kind == "main breaker"


def _panel_feed(installation: Installation, panel: Panel) -> Iterator[Row]:
    yield Row(f"{panel.code} {panel.name}", MESSAGE, bold=True, most_lines=ALL_LINES)
    if _cuts_off_a_building(panel):
        yield Row("Its main breaker is the DISCONNECT of this building.", DETAIL, bold=True, most_lines=ALL_LINES)
    at, above = installation.fed_from(panel), installation.upstream(panel)
    if at is not None:
        yield Row(f"FED FROM {place_of(at)}", MESSAGE, bold=True, most_lines=ALL_LINES)
        yield Row(f"{rating(at)} breaker. {at.panel.code} is here: {at.panel.place}", DETAIL, most_lines=ALL_LINES)
    elif above is not None:
        yield Row(f"FED FROM {name(above)}, through its lugs", MESSAGE, bold=True, most_lines=ALL_LINES)
        yield Row(f"{above.code} is here: {above.place}", DETAIL, most_lines=ALL_LINES)
    else:
        yield Row("FED FROM: not recorded", MESSAGE, bold=True, most_lines=ALL_LINES)


def _disconnect(installation: Installation, item: Equipment) -> Iterator[Row]:
    at = installation.position(item.circuit)
    yield Row("DISCONNECT", MESSAGE, bold=True)
    yield Row(f"{item.code} {item.name}", MESSAGE, bold=True, most_lines=ALL_LINES)
    fed = f"Fed from {place_of(at)}, {rating(at)}" if at is not None else "Fed from: not recorded"
    yield Row(fed, DETAIL, most_lines=ALL_LINES)


def _ratings(installation: Installation) -> Iterator[Label]:
    for item in installation.record.equipment:
        if item.kind == "car charger" and item.set_current.known:
            at = installation.position(item.circuit)
            breaker = f"Breaker {rating(at)} at {place_of(at)}." if at is not None else "Its breaker is not recorded."
            plated = f" Nameplate {said(item.current)}." if item.current.known else ""
            rows = (
                Row(f"CHARGER SET TO {said(item.set_current)}", MESSAGE, bold=True, most_lines=ALL_LINES),
                Row(f"Do not raise.{plated} {breaker}", DETAIL, most_lines=ALL_LINES),
            )
            yield _made(
                plate(f"Rating of {item.code}", rows, plate_width=_TAG_WIDTH),
                file=f"rating-{item.code}",
                code=item.code,
                goes=f"On {item.code}, {item.place}, beside its nameplate, not over it.",
                material=MATERIAL[item.outdoors.value],
                why=tag_reason("rating", installation.record.code.edition),
                state=_state(installation.record, "charger rating", item.code),
            )


def _signs(job: JobUnderCheck) -> Iterator[Label]:
    for sign in signs_for(job):
        wording = sign_wording(sign.id, job.edition)
        if wording is not None:
            yield _sign(job.record, sign, wording)


def _sign(record: Record, sign: Sign, wording: Wording) -> Label:
    entry = catalogue()["signs"][sign.id]
    title = f"{sign.at}: {entry['title']}"
    if sign.id in _ON_A_COVER:
        art = strip(title, wording.words, CARD)
    elif entry["signal"] == "RED":
        size = SIGNAL if sign.id in _THREE_EIGHTHS else HALF_INCH
        art = plate(title, tuple(_headline(wording.words, size)), signal="RED", plate_width=_RED_WIDTH)
    else:
        inside = sign.id in _INSIDE_A_PANEL
        yellow = entry["signal"] == "YELLOW"
        size, rest = (SIGNAL, THREE_SIXTEENTHS) if yellow else (DETAIL if inside else MESSAGE, DETAIL)
        rows = (*_headline(wording.words, size, rest), *sign.details)
        wide = _SMALL_SIGN_WIDTH if inside else _RED_WIDTH if yellow else _SIGN_WIDTH
        art = plate(title, rows, signal=entry["signal"], plate_width=wide)
    state = _state(record, entry["marking"], sign.at, entry["seen_as"], _CONFIRMED_BY.get(sign.id, ""))
    if not state and sign.existing:
        state = "Of what was there before this job: post it where it is missing or cannot be read."
    coloured = bool(entry["signal"])
    return _made(
        art,
        file=f"sign-{sign.id.replace('_', '-')}-{sign.at}",
        code=sign.at,
        goes=sign.goes,
        material=(_COLOURED if coloured else MATERIAL)[sign.outdoors],
        why=wording.why,
        state=state,
    )


def _headline(text: str, size: float, rest_size: float = DETAIL) -> Iterator[Row]:
    """The first sentence as large as asked, the rest at ``rest_size``, by default the least that a sign takes."""
    first, _, rest = text.partition(". ")
    yield Row(first, size, bold=True, most_lines=ALL_LINES)
    if rest:
        yield Row(rest, rest_size, bold=True, most_lines=ALL_LINES)


def _state(record: Record, marking: str, at: str, seen_as: str = "", question: str = "") -> str:
    """Whether the record has this marking there already: nothing is posted twice, and nothing taken for posted."""
    seen = [each.there for each in record.markings if marking and (each.kind, each.at) == (marking, at)]
    seen += [each.answer for each in record.confirmed if question and (each.rule, each.subject) == (question, at)]
    if False in seen:
        return "Recorded as missing: post it."
    on_source = (text for source in record.sources if source.code == at for text in source.labels_seen)
    texts = (*on_source, *((record.service.disconnect_marked.value or "",) if at == record.service.at else ()))
    if seen or (seen_as and any(seen_as in text.upper() for text in texts)):
        return "Recorded as there already: print it only to replace one that cannot be read."
    return ""


def _routes(installation: Installation) -> Iterator[Label]:
    told = catalogue()["route"]
    for run in buried_runs(installation):
        address = address_of(installation.record.job, run.code)
        rows = (Row(told["title"], MESSAGE, bold=True, most_lines=ALL_LINES), *route_rows(installation, run, told))
        typed = Row(address.removeprefix("HTTPS://"), CARD, bold=True, most_lines=ALL_LINES)
        code = code_for(installation.record.job, address)
        art = plate(
            f"{run.code}: buried line",
            (*rows, typed),
            signal="WARNING",
            plate_width=_CARD_WIDTH,
            code=code,
            module=module_for(code, outdoors=True),
        )
        yield _made(
            art,
            file=f"route-{run.code}",
            code=run.code,
            address=address,
            goes="One at each end, where the line goes into the ground, on a wall or post that stays; one with the"
            " owner's papers.",
            material=_COLOURED[True],
            why=catalogue()["not_asked"],
        )
