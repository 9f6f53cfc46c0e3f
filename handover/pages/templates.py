"""The page templates and the one place that knows their engine.

Every value is escaped, every missing name is an error, and a template decides nothing: it is handed a finished view.
Text for people goes through gettext, so that a second language is a catalogue and no change here.
"""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from handover.pages.views import Frame
from handover.resources import shipped
from handover.words import tell


@cache
def environment() -> Environment:
    """The templates' surroundings: autoescape on, undefined names refused, texts told in the language then spoken."""
    made = Environment(
        loader=FileSystemLoader(shipped("site_templates", "pages"), encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    made.policies["ext.i18n.trimmed"] = True
    # The old style on purpose: the new one marks what gettext returns as safe, and would let text through unescaped.
    made.install_gettext_callables(tell, _one_or_many, newstyle=False)  # type: ignore[attr-defined]  # added by the extension
    return made


def _one_or_many(one: str, many: str, count: int) -> str:
    return tell(one if count == 1 else many)


def fill(template: str, frame: Frame, page: object) -> str:
    """The HTML of one page body."""
    return environment().get_template(template).render(frame=frame, page=page)
