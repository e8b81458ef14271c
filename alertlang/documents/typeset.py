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
    template: str, name: str, data: Mapping[str, Any], *, paper: str = "a4", form: Literal["pdf", "png"] = "pdf"
) -> list[bytes]:
    """A PDF (one item) or a picture of each page, the same bytes each time.

    `template` is a file of ours, which finds `data` as JSON under `name`. No font and no package from outside is used.
    """
    source = (_TEMPLATES / template).read_bytes()
    found = typst.compile(
        source,
        format=form,
        ppi=110,
        ignore_system_fonts=True,
        timestamp=0,
        sys_inputs={name: json.dumps(data, ensure_ascii=False), "paper": paper},
    )
    # Several pages of a picture come as a list, whatever its types say.
    several: Any = found
    return list(several) if isinstance(several, list) else [several]
