"""Pages by Jinja2: each one file that refers to nothing outside and reads well printed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

_TEMPLATES = Path(__file__).parent / "templates"
_LONG = re.compile(r"\S{17,}")
_JOINT = re.compile(r"(?<=[_\]])(?=\w)")


def page(template: str, data: Mapping[str, Any]) -> str:
    """A page from a template of ours. All text in `data` is escaped, but what `picture` has made."""
    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["breakable"] = breakable
    environment.globals["script"] = script
    return environment.get_template(template).render(data)


def breakable(text: str) -> Markup:
    """A text whose long words may break where they join their parts; who copies it copies nothing else."""
    return Markup(_LONG.sub(lambda word: _JOINT.sub("<wbr>", word[0]), str(escape(text))))


def script(name: str) -> Markup:
    """A script of ours, to stand in a page."""
    return Markup((_TEMPLATES / name).read_text(encoding="utf-8"))


def picture(svg: bytes) -> Markup:
    """An SVG of ours to stand in a page: its root alone, as wide as there is room."""
    text = svg.decode("utf-8")
    # Only what `drawing` and `timeline` have written comes here; their texts are escaped already.
    return Markup(text[text.index("<svg") :].replace("<svg ", '<svg class="drawn" ', 1))
