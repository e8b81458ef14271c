"""Aircraft operating limits as gauge bands and crew alerts: written as rules, checked, proved.

    import alertlang

    rules = alertlang.load("examples/02-bramble/bramble.alert")
    report = rules.check()
    claims = rules.prove()

The names below are what may be relied on; everything else may change.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from alertlang.api import Rules, UnreadableError, load, loads
    from alertlang.results.report import Report

__all__ = ["Report", "Rules", "UnreadableError", "__version__", "load", "loads"]

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    # The solver is loaded when it is first needed: `import alertlang` for the version alone stays quick.
    if name in __all__:
        from importlib import import_module

        return getattr(import_module("alertlang.api"), name)
    raise AttributeError(f"module 'alertlang' has no attribute {name!r}")
