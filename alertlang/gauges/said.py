"""Formulas of which some parts are as they are said to be, whatever they are in a state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from alertlang.logic.encode import Encoder
from alertlang.logic.terms import FALSE, TRUE, Term, conjunction, disjunction, negate
from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m

# What is said: parts of formulas, each true or false.
Truths = Mapping[m.Formula, bool]


def atoms(formula: m.Formula) -> Sequence[m.Formula]:
    """The parts that are true or false for themselves."""
    match formula:
        case m.And() | m.Or():
            return [one for part in formula.parts for one in atoms(part)]
        case m.Not():
            return atoms(formula.part)
    return [formula]


def holds_as_said(formula: m.Formula | None, there: Instant, said: Truths) -> bool:
    """Whether a formula is true; none is. Of what nothing is said the state decides."""
    match formula:
        case None:
            return True
        case m.And():
            return all(holds_as_said(part, there, said) for part in formula.parts)
        case m.Or():
            return any(holds_as_said(part, there, said) for part in formula.parts)
        case m.Not():
            return not holds_as_said(formula.part, there, said)
    known = said.get(formula)
    return there.holds(formula) if known is None else known


def term_as_said(formula: m.Formula | None, said: Truths, encoder: Encoder) -> Term:
    """The same for a solver."""
    match formula:
        case None:
            return TRUE
        case m.And():
            return conjunction(term_as_said(part, said, encoder) for part in formula.parts)
        case m.Or():
            return disjunction(term_as_said(part, said, encoder) for part in formula.parts)
        case m.Not():
            return negate(term_as_said(formula.part, said, encoder))
    known = said.get(formula)
    return encoder.formula(formula) if known is None else TRUE if known else FALSE
