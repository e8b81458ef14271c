"""Displays from texts."""

from __future__ import annotations

from pathlib import Path

from alertlang.model.display import LoadedDisplay, display_in
from alertlang.model.files import load_files


def parse_display(data: bytes, *, shown: str) -> LoadedDisplay:
    """The display in a text."""
    return display_in(load_files(Path("-"), shown, (), data))
