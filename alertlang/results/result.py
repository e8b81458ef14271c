"""What all results of the api have in common: they say themselves as JSON, and their `repr` fits on a screen."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from alertlang.text.short import Short

_writers: list[Callable[[Result], str]] = []


def written_by(writer: Callable[[Result], str]) -> None:
    """Says who writes results as JSON: the formats stand above the results, which know none. The api does it once."""
    _writers[:] = [writer]


class Result(Short):
    """`to_dict` and `to_json` give what the command with `--output json` prints, without the line's end."""

    __slots__ = ()

    def to_json(self) -> str:
        """One object on one line."""
        return _writers[0](self)

    def to_dict(self) -> dict[str, Any]:
        """The same as plain dictionaries, lists, texts and numbers; exact numbers are texts, as in the JSON."""
        found: dict[str, Any] = json.loads(self.to_json())
        return found
