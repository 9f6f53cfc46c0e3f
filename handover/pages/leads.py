"""What leads on from within a sentence: numbers that dial, codes, and pages and sections named in quotation marks."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from handover.pages.views import Said
from handover.record.installation import Installation
from handover.trouble import trouble_steps
from handover.words import later, tell

RESETS = ("resets", later("Where to press reset"))
"""The part of the trouble page that steps on it send to: its id and its heading."""


def in_pieces(text: str, leads: Mapping[str, str]) -> tuple[Said, ...]:
    """A text parted where a whole word or number of ``leads`` stands, each such piece leading to its address."""
    wanted = [re.escape(word) for word, href in leads.items() if word and href]
    if not wanted:
        return (Said(text=text),)
    parts = re.split(rf"(?<![\w-])({'|'.join(sorted(wanted, key=len, reverse=True))})(?![\w-])", text)
    return tuple(Said(text=part, href=leads[part] if place % 2 else "") for place, part in enumerate(parts) if part)


def places_quoted(installation: Installation, pages: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Each page (title and path) and section that a step may name, in its quotation marks, with where it stands."""
    named = {tell(title): path for title, path in pages}
    named |= {trouble.heading: f"trouble.html#{trouble.id}" for trouble in trouble_steps(installation)}
    named[tell(RESETS[1])] = f"trouble.html#{RESETS[0]}"
    return {f'"{heading}"': address for heading, address in named.items()}
