"""Wording that several drawings share: ratings, conductors, runs, lengths.  What is not recorded says so."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from handover.record.facts import Fact
from handover.record.installation import Installation, Position
from handover.record.record import Record
from handover.record.supply import Breaker, Panel, Slot
from handover.record.wiring import Conductor, Raceway, Run, Wiring
from handover.units import magnitude
from handover.words import later, tell

_NOT_KNOWN = later("not known")
UNDESCRIBED = "Conductors not recorded"
WORK = {"new": later("NEW"), "changed": later("CHANGED"), "existing": later("existing")}


def sentence(*parts: str | None) -> str:
    """The parts that hold something, read one after the other: those that begin with a capital as sentences."""
    said = ""
    for part in parts:
        words = " ".join((part or "").replace(" · ", ", ").split())
        if said and words:
            ended = said.endswith((".", "?", "!"))
            joint = " " if ended else ". " if words[0].isupper() else ", "
            said += joint + words
        else:
            said += words
    return said if said.endswith((".", "?", "!")) else f"{said}."


def fact(value: Fact[Any], what: str) -> str:
    """A fact as written, or ``what`` with how it stands: ``fault current not recorded``."""
    if value.known:
        return str(value)
    return f"{tell(what)} {tell(_NOT_KNOWN if value.basis.value == 'unknown' else value.basis.value)}"


def joined(words: Iterable[str | None]) -> str:
    """Those that hold something, parted by dots."""
    return " · ".join(word for word in words if word)


def poles(slot: Slot) -> str:
    """``2-pole``: a breaker has a pole for each space it takes."""
    return tell("{number}-pole", number=len(slot.spaces)) if len(slot.spaces) > 1 else tell("1-pole")


def spaces(slot: Slot) -> str:
    """``space 5`` or ``spaces 14/16``."""
    numbers = "/".join(str(space) for space in slot.spaces)
    return (
        tell("space {number}", number=numbers) if len(slot.spaces) == 1 else tell("spaces {numbers}", numbers=numbers)
    )


def protection(breaker: Breaker) -> tuple[str, ...]:
    """``GFCI`` and ``AFCI`` where the breaker is known to have them."""
    return tuple(word for word, has in (("GFCI", breaker.gfci), ("AFCI", breaker.afci)) if has.value)


def device(position: Position) -> str:
    """The breaker at a position in one line: ``60 A breaker · 2-pole · GFCI · P1 spaces 14/16 · NEW``."""
    slot = position.slot
    breaker = slot.breaker
    rating = f"{fact(breaker.rating, 'rating')} breaker" if breaker else "breaker not recorded"
    more = protection(breaker) if breaker else ()
    where = f"{position.panel.code} {spaces(slot)}"
    return joined((rating, poles(slot) if breaker else None, *more, where, WORK[slot.work]))


def conductor(item: Conductor) -> str:
    """Conductors of one role: ``2 hot: 6 AWG copper THWN-2, black and red``."""
    kind = [fact(item.size, "size"), fact(item.material, "material")]
    if item.insulation.known:
        kind.append(str(item.insulation))
    colour = f", {item.colour}" if item.colour else ""
    return f"{item.count} {item.role}: {' '.join(kind)}{colour}"


def conductors(wiring: Wiring) -> str:
    """All conductors of a circuit or feeder, with the number of parallel sets where there is more than one."""
    if not wiring.conductors:
        return UNDESCRIBED
    sets = f"{wiring.sets} parallel sets, each: " if wiring.sets > 1 else ""
    return sets + "; ".join(conductor(item) for item in wiring.conductors)


def conductors_short(wiring: Wiring) -> str:
    """The same without colours, those alike together: ``2 hot + 1 neutral 6 AWG, ground 10 AWG, copper XHHW-2``."""
    if not wiring.conductors:
        return UNDESCRIBED
    kinds: dict[str, dict[str, list[str]]] = {}
    for item in wiring.conductors:
        insulation = str(item.insulation) if item.insulation.known else ""
        kind = f"{fact(item.material, 'material')} {insulation}".strip()
        role = "ground" if item.role == "equipment ground" else item.role
        told = role if role == "ground" and item.count == 1 else f"{item.count} {role}"
        kinds.setdefault(kind, {}).setdefault(fact(item.size, "size"), []).append(told)
    sets = f"{wiring.sets} parallel sets, each: " if wiring.sets > 1 else ""
    groups = []
    for kind, sizes in kinds.items():
        alike = [f"{' + '.join(roles)} {size}" for size, roles in sizes.items()]
        groups.append(f"{', '.join(alike)}, {kind}")
    return sets + "; ".join(groups)


def raceway(run: Run) -> str:
    """The wiring method of a run with its trade size: ``PVC schedule 40, 1-1/4 in``."""
    return f"{run.method}, {trade_size(run)}" if run.trade_size.known or not is_cable(run) else run.method


def trade_size(run: Run) -> str:
    """``1-1/4 in``: the record keeps a trade size without its unit."""
    return f"{run.trade_size.value} in" if run.trade_size.known else fact(run.trade_size, "size")


def is_cable(run: Run) -> bool:
    """Whether the run is a cable rather than a raceway."""
    return run.method not in get_args(Raceway)


def length(run: Run) -> str:
    """The length of all straight pieces together, as far as they were recorded."""
    straights = [step.length for step in run.path if step.step == "straight"]
    known = [piece.value for piece in straights if piece.value is not None]
    missing = len(straights) - len(known)
    if not known:
        return "length not recorded"
    total = feet(sum(magnitude(piece, "foot") for piece in known))
    if not missing:
        return f"{total} long"
    return f"at least {total} long; {missing} {'length' if missing == 1 else 'lengths'} not recorded"


def feet(value: float) -> str:
    """A length for people, in feet and whole inches: ``96 ft 7 in``."""
    whole, inches = divmod(int(value * 12 + 0.5), 12)
    return " ".join(
        part for part in (f"{whole} ft" if whole or not inches else "", f"{inches} in" if inches else "") if part
    )


def station(value: float) -> str:
    """A distance along a run, in feet and whole inches as on a plan: ``122' 6"``."""
    inches = int(value * 12 + 0.5)
    return f"{inches // 12}' {inches % 12}\""


def called(installation: Installation, code: str) -> str:
    """``C1 Car charger``: code and name, or the code alone where nothing else is shown."""
    name = installation.name_of(code)
    return code if name == code else f"{code} {name}"


def panel_rating(panel: Panel) -> str:
    """How a panel is switched, and what its bus may carry."""
    main = "Main lugs, no main breaker" if panel.main_kind == "main lugs" else main_text(panel)
    bus = f"bus {panel.bus}" if panel.bus.known else fact(panel.bus, "bus rating")
    return joined((main, bus, f"{panel.spaces} spaces"))


def main_text(panel: Panel) -> str:
    """``Main breaker 200 A``."""
    if not panel.main.known:
        return fact(panel.main, later("Main breaker's rating"))
    return tell("Main breaker {amperes}", amperes=panel.main)


def neutral(panel: Panel) -> str:
    """Whether neutral and ground are joined in the panel."""
    bonded = panel.neutral_bonded
    if bonded.value is None:
        return fact(bonded, "Neutral-to-ground bond")
    return "Neutral bonded to ground here" if bonded.value else "Neutral kept apart from ground here"


def revision(record: Record) -> str:
    """Which issue of the record a drawing was made from."""
    if not record.revisions:
        return tell("Job {job}.", job=record.job.number)
    last = record.revisions[-1]
    return tell(
        "Job {job}, revision {revision}, {date}. Drawn from the record.",
        job=record.job.number, revision=last.number, date=last.date.isoformat(),
    )  # fmt: skip
