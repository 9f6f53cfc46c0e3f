"""Readings, torque and materials as tables: the baseline that the next worker compares with."""

from __future__ import annotations

from collections.abc import Sequence

from handover.pages.contents import Book
from handover.pages.shown import date_text, label_of, plain, rows, said, table
from handover.pages.views import Row, Said, Table
from handover.record.evidence import Instrument, MaterialItem, Reading, TorqueRecord


def reading_table(book: Book, readings: Sequence[Reading]) -> Table | None:
    """Readings: what, between what, the value, and how it was taken.  None where there are none."""
    columns = ("Of", "Reading", "Between", "Value", "Conditions", "With", "Date", "By")
    lines = [
        (
            plain(book.installation.name_of(reading.of)),
            plain(reading.kind),
            plain(reading.between) if reading.between else None,
            _value(reading),
            plain(_conditions(reading)) if _conditions(reading) else None,
            plain(_instrument(book, reading.instrument)) if reading.instrument else None,
            plain(date_text(reading.date)) if reading.date else None,
            plain(reading.by) if reading.by else None,
        )
        for reading in readings
    ]
    return table("Test readings", columns, lines) if lines else None


def torque_table(book: Book, torques: Sequence[TorqueRecord]) -> Table | None:
    """Terminals tightened.  None where there are none."""
    columns = ("Terminal", "Asked", "Applied", "Tool", "Value from")
    lines = [
        (
            plain(f"{book.installation.name_of(torque.of)}: {torque.terminal}"),
            said(torque.required),
            said(torque.applied),
            plain(_instrument(book, torque.tool)) if torque.tool else None,
            plain(torque.source) if torque.source else None,
        )
        for torque in torques
    ]
    return table("Terminals tightened", columns, lines) if lines else None


def material_rows(item: MaterialItem) -> tuple[Row, ...]:
    """One thing fitted or left as a spare, as rows."""
    head = Row(label=f"{item.quantity} of", said=plain(item.what))
    return (head, *rows(item, "part_number", "warranty_until", "warranty_claim", "bought_from"))


def instrument_rows(instrument: Instrument) -> tuple[Row, ...]:
    """One instrument, for the worker's page."""
    return (Row(label=instrument.code, said=plain(instrument.name)), *rows(instrument, "serial", "calibrated"))


def _instrument(book: Book, code: str) -> str:
    return book.installation.name_of(code)


def _value(reading: Reading) -> Said | None:
    """The one value that a reading of this kind has, with the sign for a reading past the meter's range."""
    for field in ("volts", "ohms", "amperes", "trip_current", "result"):
        shown = said(getattr(reading, field))
        if shown is not None:
            text = f"more than {shown.text}" if reading.beyond_range else shown.text
            return Said(text=text, tag=shown.tag, open=shown.open, note=shown.note)
    return None


def _conditions(reading: Reading) -> str:
    parts = [reading.conditions or ""]
    for field in ("test_volts", "test_current", "trip_time", "load_current"):
        shown = said(getattr(reading, field))
        parts.append(f"{label_of(field).lower()} {shown.text}" if shown else "")
    parts.append(f"load of {reading.load_of}" if reading.load_of else "")
    return "; ".join(part for part in parts if part)
