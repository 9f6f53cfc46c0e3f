"""The YAML parser's complaints in the electrician's words.

The two parsers PyYAML may use (with and without libyaml) word the same fault differently; here both become one text.
"""

from __future__ import annotations

import re

import yaml

_INDENT = "Set all lines of one list in by the same number of spaces."
# What the parser says (context, then problem) -> what is wrong, and the remedy.  The first that fits is taken.
_FAULTS = (
    (
        "quoted scalar.*unexpected end",
        "a quote is opened here and not closed",
        "Close the quote at the end of the text.",
    ),
    (
        "escape",
        "a backslash within double quotes changes the letter after it",
        "Write the text in single quotes, or without the backslash.",
    ),
    (
        "mapping values are not allowed",
        "a colon stands where no name can stand",
        'Put a text that holds a colon in quotes:  name: "text: more text" . '
        "Else look at the line above: its name may lack the colon, or it has a value and nothing goes under it.",
    ),
    (
        "simple key.*could not find expected ':'",
        "a line without a colon",
        "Write  name: value , or set the line in to go on with the text above.",
    ),
    (
        "flow sequence",
        "a bracket [ is opened here and not closed",
        "Close it with  ] , with commas between the values.",
    ),
    ("flow mapping", "a brace { is opened here and not closed", "Close it with  } , with commas between the pairs."),
    (
        "(an alias|an anchor)",
        "a value begins with * or &, which YAML keeps for itself",
        "Put the text in quotes.",
    ),
    (
        "block (node|collection|mapping|sequence)|not allowed (in this context|here)|block end",
        "this does not fit the lines above it",
        f"{_INDENT} A dash begins a line of its own; nothing follows a closed quote or bracket; "
        "a quote further up may have been left open.",
    ),
    (
        "block scalar",
        "a text of several lines begins wrongly",
        "Write  |  alone after the colon, the text set in below.",
    ),
    ("tag", "a value begins with an exclamation mark, which YAML keeps for itself", "Put the text in quotes."),
    ("nesting|nested", "lists within lists too deep to read", "Write the record flatter."),
    ("directive|document", "a line of YAML's own settings", "Delete lines that begin with %, --- or ... ."),
)


def fault_of(error: yaml.YAMLError, text: str) -> tuple[int, str, str]:
    """The line (0 where the parser names none), what is wrong there, and the remedy."""
    said = f"{getattr(error, 'context', None) or ''} {getattr(error, 'problem', None) or ''}"
    mark = getattr(error, "problem_mark", None)
    opened = getattr(error, "context_mark", None)
    if opened is not None and re.search("quoted scalar|flow|simple key", said):
        mark = opened
    number = mark.line + 1 if mark is not None else 0
    lines = text.splitlines()
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    # Not every parser says that a tab is what stops it.
    if "\t" in line and re.search("cannot start any token|mapping values", said):
        return number, "not valid YAML: a tab", "Use spaces, never tabs, to set lines in."
    if "cannot start any token" in said:
        what = f'a value begins with "{line[mark.column : mark.column + 1]}"' if mark is not None else "a stray sign"
        return number, f"not valid YAML: {what}, which YAML keeps for itself", "Put the text in quotes."
    for pattern, what, remedy in _FAULTS:
        if re.search(pattern, said):
            return number, f"not valid YAML: {what}", remedy
    return number, "not valid YAML", "Check colons, quotes, dashes and spaces here."
