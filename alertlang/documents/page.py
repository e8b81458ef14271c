"""The frame of every HTML document: one file that refers to nothing outside itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from alertlang.output.text import CAUTION
from alertlang.text.resources import tool_version


@dataclass(frozen=True, slots=True)
class About:
    """What stands at the head of a document: its title, the rule set with its digest, and what else to know."""

    title: str
    name: str
    version: int
    digest: str
    lines: Sequence[str] = ()


STYLE = """
@page { margin: 15mm 12mm; }
* { box-sizing: border-box; }
body { font: 10pt/1.4 sans-serif; color: #000; background: #fff; max-width: 190mm; margin: 0 auto; padding: 4mm; }
h1 { font-size: 17pt; margin: 0 0 1mm; } h2 { font-size: 12pt; margin: 5mm 0 1mm; break-after: avoid; }
p, ul { margin: 1mm 0; } td, th, p, li, h1, h2 { overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; table-layout: fixed; margin: 1mm 0; }
th, td { border: 0.3mm solid #555; padding: 0.7mm 1.4mm; text-align: left; vertical-align: top; }
thead { display: table-header-group; } tr { break-inside: avoid; }
th { background: #eee; font-weight: 600; }
.meta { color: #333; font-size: 8.5pt; } .digest { font-family: monospace; font-size: 7.5pt; }
.caution { border: 0.6mm solid #000; padding: 1.5mm 2.5mm; margin: 2mm 0; }
@media print { body { padding: 0; max-width: none; } th { print-color-adjust: exact; } }
"""

_FRAME = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ about.title }}: {{ about.name }} {{ about.version }}</title>
<style>{{ style }}</style>
</head>
<body>
<header>
<h1>{{ about.title }}</h1>
<p><strong>{{ about.name }}</strong>, version {{ about.version }}</p>
{% for line in about.lines %}<p class="meta">{{ line }}</p>
{% endfor %}<p class="meta">alertlang {{ tool }}; digest of the rules:
<span class="digest">{{ about.digest }}</span></p>
<p class="caution">{{ caution }}</p>
</header>
{{ body }}
</body>
</html>
"""


def environment() -> Environment:
    """Templates in which everything is escaped and nothing may be missing."""
    return Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, keep_trailing_newline=True)


def page(about: About, body: str, *, style: str = "") -> str:
    """A whole page. `body` is HTML that a template of `environment` made; `style` is added to the common one."""
    return (
        environment()
        .from_string(_FRAME)
        .render(
            about=about,
            body=Markup(body),
            style=Markup(STYLE + style),
            tool=tool_version(),
            caution=CAUTION,
        )
    )
