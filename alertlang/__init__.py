"""Aircraft operating limits as gauge bands and crew alerts: written as rules, checked, proved.

    import alertlang

    rules = alertlang.load("examples/02-bramble/bramble.alert")
    report = rules.check()
    claims = rules.prove()

The names below are what may be relied on, all of them from `alertlang.api`; everything else may change.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from alertlang.api import *  # noqa: F403

from alertlang.api import __all__ as _names
from alertlang.text.version import __version__ as __version__

__all__ = sorted(["__version__", *_names])


def __getattr__(name: str) -> Any:
    # The solver is loaded when it is first needed: `import alertlang` for the version alone stays quick.
    if name in __all__:
        import alertlang.api as api

        return getattr(api, name)
    raise AttributeError(f"module 'alertlang' has no attribute {name!r}")
