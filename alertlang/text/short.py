"""A `repr` that fits on a screen, for values that hold whole rule sets or recordings."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import fields
from typing import Any

_LONGEST = 60


class Short:
    """For dataclasses with `repr=False`: short values as they are, of collections the length alone."""

    __slots__ = ()

    def __repr__(self) -> str:
        shown = (f"{field.name}={_short(getattr(self, field.name))}" for field in fields(self))  # type: ignore[arg-type]
        return f"{type(self).__name__}({', '.join(shown)})"


def _short(value: Any) -> str:
    if isinstance(value, (Mapping, Set, tuple, list, bytes)):
        return f"<{len(value)}>"
    if isinstance(value, str) and len(value) > _LONGEST:
        return repr(value[:_LONGEST] + "...")
    if hasattr(value, "__dataclass_fields__"):
        name = getattr(value, "name", None)
        return f"<{type(value).__name__}{f' {name}' if isinstance(name, str) else ''}>"
    return repr(value)
