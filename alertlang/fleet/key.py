"""What a finished log is known by: its bytes, the rules, the column map and the version of the tool.

Rules and map count by what they say. Layout, comments and the folder they lie in make no difference; a number, a name
or a text anywhere in them, or in a profile they use, does.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Any

FORMAT = 4
"""Of what is kept for each log. Another number makes everything that was kept before count for nothing."""

# Where something is written, not what it says.
_PLACES = frozenset({"span", "node", "origin", "origins", "path", "line", "sha256"})


def digest_of_all(ruleset: object, column_map: object, tool: str) -> str:
    """The sha256 of everything but the log: hexadecimal digits. `tool`: its version."""
    said = json.dumps([FORMAT, tool, _plain(ruleset), _plain(column_map)], ensure_ascii=False)
    return hashlib.sha256(said.encode("utf-8")).hexdigest()


def digest_of_file(path: Path) -> str:
    """The sha256 of a file's bytes. OSError if it cannot be read."""
    with path.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def key_of(log: str, everything: str) -> str:
    """What the result of a log is kept under, from the two digests."""
    return hashlib.sha256(f"{everything} {log}".encode("ascii")).hexdigest()


def _plain(value: Any) -> Any:
    """A value of the model in lists and texts. TypeError for what is not known: passed over, it would make two
    rule sets one."""
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, Enum):
        return [type(value).__name__, value.name]
    if isinstance(value, int):
        return value
    if isinstance(value, Fraction):
        return ["number", f"{value.numerator}/{value.denominator}"]
    if is_dataclass(value) and not isinstance(value, type):
        # What does not make two values differ, such as the whole text of a file, says nothing either.
        said = [field.name for field in fields(value) if field.compare and field.name not in _PLACES]
        parts = [[name, _plain(getattr(value, name))] for name in said]
        return [type(value).__name__, parts]
    if isinstance(value, Mapping):
        return ["table", [[_plain(key), _plain(one)] for key, one in value.items()]]
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, frozenset | set):
        return ["set", sorted(json.dumps(_plain(one), ensure_ascii=False) for one in value)]
    raise TypeError(f"no digest of a {type(value).__name__}")
