"""PDF and PNG by typst: a template of ours, and data that it never reads as markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import typst

_TEMPLATES = Path(__file__).parent / "templates"
PAPERS = ("a4", "us-letter")


def typeset(
    template: str,
    name: str,
    data: Mapping[str, Any],
    *,
    paper: str = "a4",
    form: Literal["pdf", "png"] = "pdf",
    settings: Mapping[str, str] | None = None,
) -> list[bytes]:
    """A PDF (one item) or a picture of each page, the same bytes each time.

    `template` is a file of ours, which finds `data` as JSON under `name`, and `settings` by their names. No font and no
    package from outside is used.
    """
    source = (_TEMPLATES / template).read_bytes()
    found = typst.compile(
        source,
        format=form,
        ppi=110,
        ignore_system_fonts=True,
        timestamp=0,
        sys_inputs=_inputs(name, data, paper, settings),
    )
    # Several pages of a picture come as a list, whatever its types say.
    several: Any = found
    return list(several) if isinstance(several, list) else [several]


def page_count(
    template: str, name: str, data: Mapping[str, Any], *, paper: str = "a4", settings: Mapping[str, str] | None = None
) -> int:
    """How many pages it comes to. The template must tell it in a metadata with the label `pages`."""
    told = typst.query(
        (_TEMPLATES / template).read_bytes(),
        "<pages>",
        field="value",
        one=True,
        ignore_system_fonts=True,
        sys_inputs=_inputs(name, data, paper, settings),
    )
    return int(told)


def _inputs(name: str, data: Mapping[str, Any], paper: str, settings: Mapping[str, str] | None) -> dict[str, str]:
    return {**(settings or {}), name: json.dumps(data, ensure_ascii=False), "paper": paper}
