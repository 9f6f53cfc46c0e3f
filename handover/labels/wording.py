"""The wording of signs and tags, by edition of the adopted code, from the catalogue ``labels``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from handover.words import words


@dataclass(frozen=True, slots=True)
class Wording:
    """What a sign says in one edition, and which section asks for it.  ``why`` is all that the sheet tells of that."""

    words: str
    section: str
    why: str


def catalogue() -> dict[str, Any]:
    """All wording of labels."""
    return words("labels")


def sign_wording(sign: str, edition: int) -> Wording | None:
    """A sign's words in an edition; None where that edition does not ask for it."""
    return _of(catalogue()["signs"][sign]["editions"], edition)


def tag_reason(tag: str, edition: int) -> str:
    """Why a tag is posted: the section that asks for it, or that none does."""
    found = _of(catalogue()["tags"].get(tag, []), edition)
    return found.why if found is not None else catalogue()["not_asked"]


def _of(entries: list[dict[str, Any]], edition: int) -> Wording | None:
    """The entry that names the edition.  For one newer than any entry, the newest entry, with a warning."""
    read = max((int(each) for entry in entries for each in entry["editions"]), default=0)
    wanted = min(edition, read) if read == _newest_read() else edition
    for entry in entries:
        if str(wanted) in entry["editions"]:
            why = f"NEC {wanted}, {entry['section']}: {entry['source']}."
            if wanted != edition:
                why += " " + catalogue()["unread"].format(edition=edition, read=wanted)
            return Wording(entry.get("words", ""), entry["section"], why)
    return None


def _newest_read() -> int:
    """The newest edition that the catalogue knows at all.  What ended before it, ended."""
    signs = catalogue()["signs"].values()
    return max(int(each) for sign in signs for entry in sign["editions"] for each in entry["editions"])
