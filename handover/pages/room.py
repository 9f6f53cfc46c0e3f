"""What could still be added to a panel: a free space is worth what its feeders and the service have left.

Taken from the checks' own results, each with a way to its working; what no check decided is said to be so, and why.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from handover.checks.result import CheckResult, Verdict
from handover.pages.contents import Book, Here
from handover.pages.numbers import anchor
from handover.pages.shown import listed
from handover.pages.switching import called
from handover.pages.views import Row, Said
from handover.record.supply import Panel
from handover.record.wiring import Feeder
from handover.units import show
from handover.words import OWN, later, tell


def spaces_left(panel: Panel) -> str:
    """Spaces of a panel that hold no breaker."""
    taken = {space for slot in panel.slots if not slot.blank for space in slot.spaces}
    free = [str(space) for space in range(1, panel.spaces + 1) if space not in taken]
    if not free:
        return tell("none of {spaces}", spaces=panel.spaces)
    return tell("{number} of {spaces}: {which}", number=len(free), spaces=panel.spaces, which=listed(free))


def result_of(book: Book, rule: str, code: str) -> CheckResult | None:
    """The result of a rule about one code, where there is one."""
    return next((result for result in book.results_by_code.get(code, ()) if result.rule == rule), None)


def whole_amperes_of(amperes: str) -> str:
    """``40.93 A`` as ``40 A``: what is left is never rounded up."""
    number, _, unit = amperes.partition(" ")
    return f"{math.floor(float(number))} {unit}"


def service_left(book: Book) -> tuple[CheckResult | None, str]:
    """The result of what the service has left, and the amperes it came to."""
    result = result_of(book, "spare_service", book.record.service.at)
    steps = result.working if result else ()
    return result, next((step.value for step in steps if step.formula == "in amperes"), "")


def room_rows(here: Here, panel: Panel) -> tuple[Row, ...]:
    """What each feeder and transfer switch on the way up from a panel can still carry, and what the service can."""
    return tuple(_room_rows(here, panel))


def _room_rows(here: Here, panel: Panel) -> Iterator[Row]:
    book, installation = here.book, here.book.installation
    for member in installation.path_to_service(panel):
        feeder, transfer = installation.feeder_to(member), installation.transfer_to(member)
        if feeder is not None:
            yield Row(label=_carries(called(book, feeder.code)), said=_feeder_left(here, feeder))
        elif transfer is not None:
            why = tell("Cannot be said: no sum was made for it. Ask an electrician.")
            yield Row(label=_carries(called(book, transfer.code)), said=Said(text=why, open=True))
    result, amperes = service_left(book)
    rating = book.record.service.rating
    of = show(rating.value) if rating.value is not None else ""
    yield Row(label=_carries(tell("The supply of the house")), said=_said(here, result, amperes, of))


def _carries(name: str) -> str:
    return tell("{what} can still carry", what=name)


def _feeder_left(here: Here, feeder: Feeder) -> Said:
    book = here.book
    result = result_of(book, "spare_feeder", feeder.code)
    if result is None:
        why = later("Cannot be said: no sum was made for it. It was here before this job. Ask an electrician.")
        if feeder.work != "existing":
            why = later("Cannot be said: no sum was made for it. Ask an electrician.")
        load = f"Load on record: {feeder.load}" if feeder.load.known and book.language == OWN else ""
        return Said(text=tell(why), open=True, note=load)
    position = book.installation.position(feeder.code)
    breaker = position.slot.breaker if position is not None else None
    of = show(breaker.rating.value) if breaker is not None and breaker.rating.value is not None else ""
    return _said(here, result, show(result.value) if result.value is not None else "", of)


def _said(here: Here, result: CheckResult | None, amperes: str, of: str) -> Said:
    """What is left of a rating, with a way to its working; the reason of an undecided one in ``OWN`` alone."""
    if result is None:
        return Said(text=tell("Cannot be said: no sum was made for it. Ask an electrician."), open=True)
    own = here.book.language == OWN
    href = f"{here.to(here.book.numbers_path(result.subject))}#{anchor(result)}" if own else ""
    if result.verdict is Verdict.UNDECIDED:
        told = tell("Cannot be said: facts are missing. Ask an electrician.")
        return Said(text=told, open=True, href=href, note=result.reason if own else "")
    if result.verdict is Verdict.NOT_APPLICABLE:
        return Said(text=tell("Depends on what else runs. Ask an electrician."), href=href)
    if result.verdict is Verdict.FAIL:
        return Said(text=tell("None: the sum is more than it is made for. Ask an electrician."), open=True, href=href)
    left = tell("Up to {amperes} of {rating} by the sum.", amperes=whole_amperes_of(amperes), rating=of)
    return Said(text=f"{left} {tell('Ask an electrician.')}", href=href)
