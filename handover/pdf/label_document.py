"""``labels.pdf``: what to do with the labels, which there are, then each at its exact size."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import unescape
from typing import Any

from handover.pack import Label, Pack, Page
from handover.pages.shown import date_text
from handover.pdf.blocks import Block, Reader, classes, made, parsed, raised
from handover.pdf.ink import label_on_paper
from handover.pdf.label_pages import LabelPage, plain_pages
from handover.pdf.label_stock import Stock, stuck_on
from handover.pdf.typesetting import Document

_PAGE = "labels.html"
_SVG_TEXT = re.compile(r"<text [^>]*>([^<]*)</text>")


def labels_document(pack: Pack, pages: Iterable[Page]) -> Document:
    """The sheets of the owner's edition, introduced by what the page of labels says."""
    job, revision = pack.record.job, pack.record.revisions[-1]
    body = next(page.body for page in pages if page.path == _PAGE)
    sheets = plain_pages(pack.labels)
    return Document(
        template="labels.typ",
        title=f"Labels of record {job.number}, revision {revision.number}",
        day=revision.date,
        data={
            "foot": f"Record {job.number} · revision {revision.number} · {date_text(revision.date)}",
            "front": list(raised(_words(body))),
            "labels": [
                {"name": label.name, "title": label.title, "size": f"{label.width_mm:g} × {label.height_mm:g} mm"}
                for label in pack.labels
            ],
            "pages": [_page(sheet) for sheet in sheets],
        },
        files={_file(label): label_on_paper(label.svg) for label in pack.labels},
    )


def stock_document(pack: Pack, stock: Stock) -> Document:
    """The labels that fit the places of one kind of sheet, and nothing else on it."""
    job, revision = pack.record.job, pack.record.revisions[-1]
    fits, _ = stuck_on(stock, pack.labels)
    sheets: list[list[dict[str, Any]]] = [[] for _ in range(1 + max((one.sheet for one in fits), default=0))]
    for one in fits:
        sheets[one.sheet].append(
            {
                "file": _file(one.label),
                "alt": _read_aloud(one.label),
                "x": one.x,
                "y": one.y,
                "width": one.label.width_mm,
                "height": one.label.height_mm,
                "turned": one.turned,
            }
        )
    return Document(
        template="stock.typ",
        title=f"Labels of record {job.number}, revision {revision.number}, on {stock.said}",
        day=revision.date,
        data={"width": stock.page_width, "height": stock.page_height, "sheets": sheets},
        files={_file(one.label): label_on_paper(one.label.svg) for one in fits},
    )


def _words(body: str) -> Iterable[Block]:
    """What the page says before the labels themselves."""
    main = parsed(body[body.index("<main") : body.index("</main>") + len("</main>")])
    kept = made("main", [part for part in main if "label-sheet" not in classes(part)])
    return Reader(path=_PAGE, anchors=frozenset(), figure=lambda element: iter(()), hazards={}).blocks(kept)


def _page(sheet: LabelPage) -> dict[str, Any]:
    return {
        "height": sheet.height,
        "arts": [
            {
                "name": art.label.name,
                "file": _file(art.label),
                "alt": _read_aloud(art.label),
                "x": art.x,
                "y": art.y,
                "width": art.label.width_mm,
                "height": art.label.height_mm,
            }
            for art in sheet.arts
        ],
        "captions": [
            {
                "name": caption.name,
                "x": caption.x,
                "y": caption.y,
                "width": caption.width,
                "lines": [[line.text, line.bold] for line in caption.lines],
                "apart": caption.apart,
            }
            for caption in sheet.captions
        ],
    }


def _file(label: Label) -> str:
    return f"labels/{label.name}.svg"


def _read_aloud(label: Label) -> str:
    """All that a label says, for somebody who hears it read."""
    return f"{label.title}. {unescape(' '.join(_SVG_TEXT.findall(label.svg)))}"
