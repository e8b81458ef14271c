"""Libraries that only some of the commands need, and the extra that brings each."""

from __future__ import annotations

EXTRA_OF = {
    "numpy": "logs",
    "polars": "logs",
    "backports": "logs",
    "jinja2": "papers",
    "markupsafe": "papers",
    "matplotlib": "papers",
    "typst": "papers",
    "cvc5": "second-solver",
    "distributed": "cluster",
}
"""By the name under which a library is imported."""


def missing(problem: ModuleNotFoundError) -> str | None:
    """What to say where a library of an extra is not installed; none where it is another module that is missing."""
    library = (problem.name or "").split(".")[0]
    extra = EXTRA_OF.get(library)
    return None if extra is None else f'this needs {library}, which is not installed: pip install "alertlang[{extra}]"'
