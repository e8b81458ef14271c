"""Formulas on the sheet: as they are written, each different one under a number of its own."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from alertlang.comparison.canonical import key_of
from alertlang.model import ruleset as m
from alertlang.text.source import Span

_COMMENT = re.compile(r'("[^"\n]*")|#[^\n]*')
_SOURCE = re.compile(r'\s*,\s*source\s+[A-Za-z]\w*(?:\s*"[^"]*")?')
_DEFINED = re.compile(r"^let\s+\w+\s*=\s*|^curve\s+\w+\s+")


def written(span: Span) -> str:
    """A piece of the rules on one line, without comments."""
    return " ".join(_COMMENT.sub(lambda found: found[1] or "", span.text).split())


def definition(quantity: m.Quantity) -> str:
    """How a let or a curve is computed, without its name and its sources."""
    return _SOURCE.sub("", _DEFINED.sub("", written(quantity.span)))


@dataclass(slots=True)
class Contexts:
    """Numbers formulas in the order in which they are met: C1, C2 ... One that is a named condition needs none."""

    numbers: dict[str, str] = field(default_factory=dict)
    formulas: dict[str, m.Formula] = field(default_factory=dict)

    def name(self, formula: m.Formula | None) -> str:
        if formula is None:
            return ""
        if isinstance(formula, m.ConditionIs):
            return formula.name
        key = key_of(formula)
        if key not in self.numbers:
            name = f"C{len(self.numbers) + 1}"
            self.numbers[key] = name
            self.formulas[name] = formula
        return self.numbers[key]
