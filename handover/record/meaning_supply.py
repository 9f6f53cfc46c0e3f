"""Panels and what feeds them: spaces taken once, breakers that can be fitted so, every panel fed, and from one side."""

from __future__ import annotations

from collections.abc import Iterator

from handover.problems import Place, Problem
from handover.record.facts import Basis, Part
from handover.record.installation import Installation
from handover.record.record import Record
from handover.record.said import about, seen_from, slot_spoken_of, spaces_of, spoken_of
from handover.record.supply import Panel, Slot


def supply_problems(record: Record) -> list[Problem]:
    """What cannot be so in the panels, or leaves a panel or a circuit hanging on nothing."""
    problems: list[Problem] = []
    for panel in record.panels:
        problems.extend(_slots(panel))
        problems.extend(_taken_twice(panel))
    problems.extend(_fed_twice(record))
    # Until it is clear which panel is at the service, every other panel would seem to hang on nothing.
    if any(panel.code == record.service.at for panel in record.panels):
        problems.extend([*_on_no_breaker(record), *_panels_fed(record), *_loops(record)])
    return problems


def _slots(panel: Panel) -> Iterator[Problem]:
    for slot in panel.slots:
        where = slot_spoken_of(panel, slot)
        beyond = [space for space in slot.spaces if not 1 <= space <= panel.spaces]
        if not slot.spaces:
            yield about(slot, "spaces", where, "names no space", "Write the spaces it takes, like:  spaces: [14, 16]")
        elif beyond:
            what = f"{panel.code} has no space {beyond[0]}; its spaces are 1 to {panel.spaces}"
            yield about(slot, "spaces", where, what, "Correct the space, or the number of  spaces:  of the panel.")
        elif not _side_by_side(panel, slot):
            yield about(
                slot,
                "spaces",
                where,
                f"no one breaker can take spaces {spaces_of(slot)} of a panel numbered {panel.numbering}",
                "Write the spaces in order down one side, or correct  numbering:  of the panel.",
            )
        if slot.blank and (slot.breaker is not None or slot.feeds is not None):
            key = "breaker" if slot.breaker is not None else "feeds"
            yield about(
                slot, key, where, "stands beside  blank: yes", "A blank plate has no breaker; keep one of both."
            )
        if not slot.blank and slot.breaker is None:
            yield Problem(
                slot.written_at,
                where,
                "has neither a breaker nor a blank plate",
                "Write  breaker: 20 A , or  breaker: unknown  where it could not be read, or  blank: yes .",
            )


def _side_by_side(panel: Panel, slot: Slot) -> bool:
    step = 2 if panel.numbering == "odd left, even right" else 1
    # A breaker four spaces wide may lie across both sides, so only the common two and three are held to one side.
    wide = len(slot.spaces)
    return wide not in (2, 3) or all(slot.spaces[n + 1] - slot.spaces[n] == step for n in range(wide - 1))


def _taken_twice(panel: Panel) -> Iterator[Problem]:
    taken: dict[int, Slot] = {}
    for slot in panel.slots:
        here = slot.place_of("spaces")
        for space in dict.fromkeys(slot.spaces):
            if space in taken:
                other = seen_from(here, taken[space].place_of("spaces"))
                yield about(
                    slot,
                    "spaces",
                    slot_spoken_of(panel, slot),
                    f"space {space} of {panel.code} is already taken ({other})",
                    "Correct one of the two. Two breakers in one body (a tandem) are one entry: name both in  says: .",
                )
            taken.setdefault(space, slot)


def _fed_twice(record: Record) -> Iterator[Problem]:
    first: dict[str, Place] = {}
    for panel in record.panels:
        for slot in panel.slots:
            if slot.feeds is None:
                continue
            place = slot.place_of("feeds")
            if slot.feeds in first:
                what = f"{slot.feeds} is already fed from another breaker ({seen_from(place, first[slot.feeds])})"
                remedy = "One breaker feeds it; write the poles of one breaker as one entry:  spaces: [14, 16]"
                yield about(slot, "feeds", slot_spoken_of(panel, slot), what, remedy)
            first.setdefault(slot.feeds, place)


def _on_no_breaker(record: Record) -> Iterator[Problem]:
    fed = {slot.feeds for panel in record.panels for slot in panel.slots}
    lugs = Installation(record).service_panel.feed_through_lugs
    # Lugs that were looked for and not made out leave the question open; lugs never mentioned do not.
    no_lugs = lugs.value is False or lugs.basis is Basis.NOT_RECORDED
    for number, feeder in enumerate(record.feeders):
        if feeder.code not in fed and no_lugs:
            yield Problem(
                feeder.written_at,
                spoken_of("feeders", feeder, number),
                "no breaker feeds it",
                f"Write  feeds: {feeder.code}  at its breaker in  panels: , or  feed_through_lugs: yes  at the panel "
                f"{record.service.at} if it leaves from there.",
            )
    for number, circuit in enumerate(record.circuits):
        # The breaker of an old circuit may be one of the unknowns; that of the job's own circuit cannot.
        if circuit.code not in fed and circuit.work != "existing":
            yield Problem(
                circuit.written_at,
                spoken_of("circuits", circuit, number),
                "no breaker feeds it",
                f"Write  feeds: {circuit.code}  at its breaker in  panels: .",
            )


def _panels_fed(record: Record) -> Iterator[Problem]:
    feeders = _by_panel([(feeder.to, feeder, "feeders", n) for n, feeder in enumerate(record.feeders)])
    transfers = _by_panel([(transfer.feeds, transfer, "transfers", n) for n, transfer in enumerate(record.transfers)])
    for key, supplies in (("to", feeders), ("feeds", transfers)):
        for code, (first, *more) in supplies.items():
            for part, group, number in more:
                what = f"{code} is already fed by {getattr(first[0], 'code', '')}"
                remedy = "A panel is fed from one side; correct one of the two, or give the second panel its own code."
                yield about(part, key, spoken_of(group, part, number), what, remedy)
    for part, group, number in feeders.get(record.service.at, []):
        what = f"{record.service.at} is the service disconnect's panel (service, at), so no feeder comes before it"
        yield about(part, "to", spoken_of(group, part, number), what, "Correct the feeder, or  at:  of the service.")
    for number, panel in enumerate(record.panels):
        if panel.code not in feeders and panel.code not in transfers and panel.code != record.service.at:
            yield Problem(
                panel.written_at,
                spoken_of("panels", panel, number),
                "nothing feeds it",
                f"Add a feeder with  to: {panel.code} , or transfer equipment with  feeds: {panel.code} ; where its "
                "feed could not be found, add the feeder as  work: existing  with what is known.",
            )


def _by_panel(
    supplies: list[tuple[str, Part, str, int]],
) -> dict[str, list[tuple[Part, str, int]]]:
    found: dict[str, list[tuple[Part, str, int]]] = {}
    for code, part, group, number in supplies:
        found.setdefault(code, []).append((part, group, number))
    return found


def _loops(record: Record) -> Iterator[Problem]:
    installation = Installation(record)
    told: set[str] = set()
    for number, panel in enumerate(record.panels):
        chain = [panel]
        while (above := installation.upstream(chain[-1])) is not None and above.code not in [p.code for p in chain]:
            chain.append(above)
        codes = {each.code for each in chain}
        # A loop through the service panel needs a feeder to that panel, which is told of already.
        if above is not None and above.code == panel.code and not codes & {*told, record.service.at}:
            told |= codes
            way = " from ".join(each.code for each in (*chain, panel))
            yield Problem(
                panel.written_at,
                spoken_of("panels", panel, number),
                f"is fed from itself: {way}",
                "Correct  feeds:  at a breaker or  to:  at a feeder, so that the way up ends at the service.",
            )
