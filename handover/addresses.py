"""Where the pages of a pack stand on the web, and the secret part of that address."""

from __future__ import annotations

import math
import re
import secrets

from handover.record.people import Job

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""Capitals and digits that are not mistaken for each other when read from a label: no 0/O, no 1/I/L."""
SECRET_BITS = 120
SECRET_LENGTH = math.ceil(SECRET_BITS / math.log2(len(ALPHABET)))
_PUBLISH_AT = re.compile(r"https://[a-z0-9]([a-z0-9.-]*[a-z0-9])?(:\d{2,5})?(/[A-Z0-9._-]+)*", re.IGNORECASE)


def new_pack_id() -> str:
    """A fresh unguessable identifier: at least 120 random bits, as W3C's advice on capability URLs asks in spirit.

    The advice names no number; 120 bits is this project's choice (25 characters of ``ALPHABET``).
    """
    return "".join(secrets.choice(ALPHABET) for _ in range(SECRET_LENGTH))


def is_pack_id(text: str) -> bool:
    """Whether ``text`` could have been made by ``new_pack_id``."""
    return len(text) >= SECRET_LENGTH and all(letter in ALPHABET for letter in text)


def is_publish_address(text: str) -> bool:
    """Whether ``text`` is an https address that can stand in a code: letters, digits, dots, dashes, and folders."""
    return _PUBLISH_AT.fullmatch(text) is not None and "//" not in text[8:]


def address_of(job: Job, code: str | None = None) -> str:
    """The full address in a QR, all capitals so that the code stays small: ``HTTPS://HOST/PACK/C14/``.

    Paths are case-sensitive, so folders of ``publish_at`` must exist in capitals; hosts are not.
    """
    base = f"{job.publish_at.rstrip('/')}/{job.pack}/".upper()
    return f"{base}{code}/" if code else base


def folder_of(code: str) -> str:
    """The page of a code below the site's root."""
    return f"{code}/index.html"
