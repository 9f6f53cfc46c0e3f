"""Where the files that travel with the program stand: page templates, label words, starter folders, ``mkdocs.yml``."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(*parts: str) -> Path:
    """The path of a file or folder that travels with the program, such as ``shipped("site_templates", "starter")``.

    An installed wheel carries them inside the package, under ``_shipped``; a source checkout has them beside it, and
    there they are edited.  A missing file is a fault of the installation, so it is raised as FileNotFoundError.
    """
    installed = _PACKAGE / "_shipped"
    path = (installed if installed.is_dir() else _PACKAGE.parent).joinpath(*parts)
    if not path.exists():
        raise FileNotFoundError(f"{path} is missing; install handover again")
    return path


def own_files() -> list[Path]:
    """Every text file the program is made of: its modules, tables, words and templates."""
    beside = [] if (_PACKAGE / "_shipped").is_dir() else [shipped("site_templates")]
    kinds = (".py", ".csv", ".txt", ".yaml", ".html", ".css", ".js", ".md", ".typ")
    return sorted(path for top in (_PACKAGE, *beside) for path in top.rglob("*") if path.suffix in kinds)
