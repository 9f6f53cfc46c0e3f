"""A starter job folder: a commented record that reads at once, with a secret address of its own."""

from __future__ import annotations

import json
from pathlib import Path

from handover.addresses import new_pack_id
from handover.problems import one_problem
from handover.record.schema import job_schema
from handover.resources import shipped

_KINDS = {
    "car-charger": "car-charger circuit",
    "feeder": "feeder and sub-panel",
    "heat-pump": "heat-pump circuit",
    "other": "other",
}
"""The kinds as the command line takes them, and as a record says them."""

_PHOTOS = """Put the job's pictures here and describe each one in job.yaml, under photos:
Every published copy is made new, without the place and time that a camera hides in its files.
"""


def write_starter(folder: Path, kind: str) -> None:
    """Write ``job.yaml``, ``photos`` and the editor's schema into ``folder``, which is made, or is there and empty.

    Raises JobProblems where there is something already: nothing of the electrician's is ever written over.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        remedy = "Give the name of a new folder, or empty this one first."
        raise one_problem(str(folder), "is there already and is not an empty folder", remedy)
    schema = json.dumps(job_schema(), indent=1, ensure_ascii=False)
    files = {
        folder / "job.yaml": _record(kind),
        folder / "photos" / "README.txt": _PHOTOS,
        folder / ".handover" / "job.schema.json": f"{schema}\n",
    }
    try:
        for path, text in files.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise one_problem(
            str(folder), f"cannot be written ({error.strerror})", "Choose a folder you may write to."
        ) from None


def _record(kind: str) -> str:
    templates = shipped("site_templates", "starter")
    text = "".join((templates / f"{part}.yaml").read_text(encoding="utf-8") for part in ("head", kind, "tail"))
    return text.replace("THE-KIND", _KINDS[kind]).replace("THE-PACK-ID", new_pack_id())
