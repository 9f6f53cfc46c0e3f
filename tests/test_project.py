"""Tests of the project itself: imports go one way, each outside library has one home, modules stay small."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "handover"
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if "_shipped" not in path.parts)

# A module may import from stages left of its own, and from its own stage; never from one to the right.
STAGES = (
    ("problems", "units", "resources", "first_run", "words"),
    ("record", "addresses"),
    ("tables",),
    ("checks",),
    ("pack", "starter", "differences"),
    ("editions", "drawings", "photos", "qr"),
    ("labels", "reminders", "safety_notes", "charging", "trouble"),
    ("pages",),
    (
        "site_builder",
        "offline",
        "single_file",
        "to_keep",
        "output",
        "exchange",
        "manifest",
        "verifying",
        "signing",
        "private_words",
        "unpacking",
        "leaks",
        "pdf",
        "revisions",
        "in_languages",
    ),
    ("build",),
    ("after_build", "after_verify", "serve", "reissue", "untranslated", "phone_view"),
    ("cli", "__main__"),
)
RANK = {name: position for position, names in enumerate(STAGES) for name in names}

# Where each outside library may be imported: the modules named, and none else.
HOMES = {
    "PIL": ("photos", "pdf"),
    "zxingcpp": ("pdf",),
    "segno": ("qr",),
    "fontTools": ("labels",),
    "icalendar": ("reminders",),
    "jinja2": ("pages",),
    "click": ("cli",),
    "pint": ("units",),
    "typst": ("pdf",),
    "filelock": ("output",),
    "cryptography": ("signing",),
    "pypdfium2": ("unpacking",),
    "mkdocs": (),
    "material": (),
}
YAML_HOMES = ("record", "words")
PYDANTIC_HOMES = ("record", "editions")


def stage_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports_of(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: imports are written in full"
            found |= {f"{node.module}.{name.name}" for name in node.names}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_imports_go_one_way(path):
    own = stage_of(path)
    if own == "__init__":
        return
    for name in imports_of(path):
        parts = name.split(".")
        if parts[0] == "handover" and len(parts) > 1 and parts[1] in RANK:
            assert RANK[parts[1]] <= RANK[own], f"{path.name} imports {name}, which stands later on the journey"


def test_every_module_has_its_stage():
    assert {stage_of(path) for path in MODULES} - {"__init__"} == set(RANK)


def test_each_outside_library_has_one_home():
    homes = HOMES | {"yaml": YAML_HOMES, "pydantic": PYDANTIC_HOMES, "pydantic_core": PYDANTIC_HOMES}
    seen = set()
    for path in MODULES:
        for name in imports_of(path):
            library = name.split(".")[0]
            if library in homes:
                seen.add(library)
                assert stage_of(path) in homes[library], f"{path.relative_to(PACKAGE)} imports {library}"
    assert seen >= set(homes) - {"mkdocs", "material", "pydantic_core"}


def test_modules_stay_small():
    too_long = {path.name: lines for path in MODULES if (lines := len(path.read_text("utf-8").splitlines())) > 400}
    assert too_long == {}


def test_the_top_level_holds_what_was_agreed():
    agreed = {
        "README.md", "DEVELOPERS.md", "LICENSE", "mkdocs.yml", "pyproject.toml",
        "handover", "site_templates", "tests", "demo_property",
    }  # fmt: skip
    made_by_tools = {"pack", "dist", "build"}
    here = {
        path.name for path in ROOT.iterdir() if not path.name.startswith(".") and not path.name.endswith("egg-info")
    }
    assert here - made_by_tools == agreed


def test_the_readme_opens_with_the_job_then_two_commands():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    demo, tests = text.index("python3 handover/first_run.py demo"), text.index("python3 handover/first_run.py tests")
    assert demo < tests
    assert "python3 handover/first_run.py tests" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
