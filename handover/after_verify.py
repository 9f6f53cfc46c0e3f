"""What a comparison of a pack with its manifests came to, in plain words; and signing one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path

from handover.manifest import NAME, changed_since
from handover.problems import count_of, harmless, one_problem
from handover.verifying import Sealed, Verified, verify

IsSigned = Callable[[bytes, bytes], bool]
"""Whether a signature (the second) under a manifest (the first) was made with the key that was given."""
_PROVES = (
    "A signature proves that whoever holds the private key signed exactly these files. It does not prove who that is",
    "(have the contractor give you the public key himself), when it was, that the record is right, or any approval.",
)


def all_well(found: Verified, is_signed: IsSigned | None) -> bool:
    """Whether every file is as it was, and every manifest signed with the given key where there is one."""
    return not found.differences and (is_signed is None or all(_signed(each, is_signed) for each in found.manifests))


def told(found: Verified, is_signed: IsSigned | None, today: dt.date) -> Iterator[str]:
    """The lines that ``handover verify`` prints."""
    yield from map(str, found.differences)
    if found.differences:
        yield f"\nNOT as it was made: {count_of(len(found.differences), 'difference')}; {found.files} files are."
    else:
        yield f"As it was made: {count_of(found.files, 'file')}, none missing, changed or added."
    for content in [each.content for each in found.manifests[:1]]:
        record = content["record"]
        days = (today - dt.date.fromisoformat(record["date"])).days
        yield harmless(
            f"Record of job {content['job']}, revision {record['revision']} of {record['date']}, {days} days ago."
        )
        yield (
            harmless(f"Made by {content['tool']}")
            + f" with {len(content['tables'])} tables; their editions stand in {NAME}."
        )
        yield from map(harmless, changed_since(content))
    yield from _of_signatures(found, is_signed)


def _of_signatures(found: Verified, is_signed: IsSigned | None) -> Iterator[str]:
    signed = [each for each in found.manifests if each.signature is not None]
    if is_signed is None:
        if signed:
            yield "Signed; by whom was not looked at. Give the contractor's public key with --key to see."
        else:
            yield "Not signed. Whoever altered the files could have altered the manifest to match."
        return
    for each in found.manifests:
        if each.signature is None:
            yield harmless(f"NOT signed: {each.file}")
        elif not _signed(each, is_signed):
            yield harmless(f"NOT signed with this key, or altered since: {each.file}")
    if found.manifests and all(_signed(each, is_signed) for each in found.manifests):
        yield "Signed with the key given."
        yield from _PROVES


def _signed(each: Sealed, is_signed: IsSigned) -> bool:
    return each.signature is not None and is_signed(each.written, each.signature)


def manifests_to_sign(pack: Path) -> list[Path]:
    """The manifests of a pack's folder.  Raises JobProblems unless every file is as it was made: no signing unseen."""
    if not pack.is_dir():
        raise one_problem(str(pack), "is not a folder", "Name the pack's folder; zip it after signing.")
    found = verify(pack)
    if found.differences:
        what = f"is not as it was made: {found.differences[0]}"
        raise one_problem(str(pack), what, "See  handover verify , then build again and sign that.")
    return [pack / each.file for each in found.manifests]
