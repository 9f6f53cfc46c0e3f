"""All drawings of one edition, in the order in which a reader meets them."""

from __future__ import annotations

from collections.abc import Sequence

from handover.checks.result import CheckResult
from handover.drawings.find_again import find_again, find_again_on_paper, hidden_runs
from handover.drawings.one_line import one_line, one_line_on_paper
from handover.drawings.panel_face import panel_face
from handover.drawings.run_map import run_map, run_map_on_paper
from handover.drawings.wall_view import wall_view, wall_view_on_paper, walls_of
from handover.pack import Drawing
from handover.record.installation import Installation


def draw_all(installation: Installation, results: Sequence[CheckResult] = ()) -> dict[str, Drawing]:
    """Every drawing by name: the one-line, each panel's face, the face again for each code fed from it, each run,
    the plan by which a hidden run is found again, each wall with what is on it.  ``results`` of the check tell what
    room is left in a run.
    """
    record = installation.record
    drawings = [one_line(installation), *draw_faces(installation).values()]
    drawings += [run_map(installation, run, results) for run in record.runs]
    drawings += [find_again(installation, run) for run in hidden_runs(installation)]
    drawings += [wall_view(installation, wall, results) for wall in walls_of(installation)]
    return {drawing.name: drawing for drawing in drawings}


def draw_faces(installation: Installation) -> dict[str, Drawing]:
    """Each panel's face, and the face again for each code fed from it: what somebody who lives there looks at."""
    panels = installation.record.panels
    drawings = [panel_face(installation, panel) for panel in panels]
    for panel in panels:
        drawings += [panel_face(installation, panel, slot.feeds) for slot in panel.slots if slot.feeds]
    return {drawing.name: drawing for drawing in drawings}


def draw_for_paper(installation: Installation, results: Sequence[CheckResult] = ()) -> dict[str, Drawing]:
    """The tall drawings folded to print on one Letter sheet each.  Not for a phone: letters get small there."""
    drawings = [one_line_on_paper(installation)]
    drawings += [run_map_on_paper(installation, run, results) for run in installation.record.runs]
    drawings += [find_again_on_paper(installation, run) for run in hidden_runs(installation)]
    drawings += [wall_view_on_paper(installation, wall, results) for wall in walls_of(installation)]
    return {drawing.name: drawing for drawing in drawings}
