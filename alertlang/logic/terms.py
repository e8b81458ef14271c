"""Terms: formulas over readings and switches, as a solver sees them.

A term is true or false in a state. There are three kinds of atom: a reading is less than (or at most) a number, a
switch is at a position, and a truth that one instant leaves open (a flag). A fourth, a linear relation of readings,
says what a derived reading is. Terms are immutable and shared; building them simplifies what is constant.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from alertlang.units.interval import Interval, IntervalSet


class Term:
    """Base of all terms. `reads` holds the names of the readings and switches in it."""

    __slots__ = ("reads",)
    reads: frozenset[str]


class Less(Term):
    """`variable` < `value`, or <= if `included`. The value is in the quantity's own unit."""

    __slots__ = ("included", "value", "variable")

    def __init__(self, variable: str, value: Fraction, included: bool) -> None:
        self.variable = variable
        self.value = value
        self.included = included
        self.reads = frozenset((variable,))


class AtValue(Term):
    """A switch is at a position."""

    __slots__ = ("position", "switch")

    def __init__(self, switch: str, position: str) -> None:
        self.switch = switch
        self.position = position
        self.reads = frozenset((switch,))


class Flag(Term):
    """A truth that one instant leaves open, by its name (see model.snapshot)."""

    __slots__ = ("name",)

    def __init__(self, name: str) -> None:
        self.name = name
        self.reads = frozenset((name,))


class Linear(Term):
    """The sum of `coefficients` times readings, plus `constant`, is at most 0, or equal to 0 if `equal`."""

    __slots__ = ("coefficients", "constant", "equal")

    def __init__(self, coefficients: Mapping[str, Fraction], constant: Fraction, equal: bool) -> None:
        self.coefficients = tuple(sorted(coefficients.items()))
        self.constant = constant
        self.equal = equal
        self.reads = frozenset(coefficients)


class Negation(Term):
    __slots__ = ("part",)

    def __init__(self, part: Term) -> None:
        self.part = part
        self.reads = part.reads


class All(Term):
    """True if every part is; the empty one is true."""

    __slots__ = ("parts",)

    def __init__(self, parts: tuple[Term, ...]) -> None:
        self.parts = parts
        self.reads = frozenset().union(*(p.reads for p in parts))


class Some(Term):
    """True if some part is; the empty one is false."""

    __slots__ = ("parts",)

    def __init__(self, parts: tuple[Term, ...]) -> None:
        self.parts = parts
        self.reads = frozenset().union(*(p.reads for p in parts))


TRUE: Term = All(())
FALSE: Term = Some(())


def negate(term: Term) -> Term:
    if term is TRUE:
        return FALSE
    if term is FALSE:
        return TRUE
    return term.part if isinstance(term, Negation) else Negation(term)


def both(*terms: Term) -> Term:
    """All of some terms."""
    return conjunction(terms)


def conjunction(terms: Iterable[Term]) -> Term:
    parts: list[Term] = []
    for term in terms:
        if term is FALSE:
            return FALSE
        if isinstance(term, All):
            parts.extend(term.parts)
        else:
            parts.append(term)
    if not parts:
        return TRUE
    return parts[0] if len(parts) == 1 else All(tuple(parts))


def disjunction(terms: Iterable[Term]) -> Term:
    parts: list[Term] = []
    for term in terms:
        if term is TRUE:
            return TRUE
        if isinstance(term, Some):
            parts.extend(term.parts)
        else:
            parts.append(term)
    if not parts:
        return FALSE
    return parts[0] if len(parts) == 1 else Some(tuple(parts))


def with_flag(term: Term, name: str, holds: bool) -> Term:
    """A term in the states in which an open truth is known."""
    if name not in term.reads:
        return term
    match term:
        case Flag():
            return TRUE if holds else FALSE
        case Negation():
            return negate(with_flag(term.part, name, holds))
        case All():
            return conjunction(with_flag(part, name, holds) for part in term.parts)
        case Some():
            return disjunction(with_flag(part, name, holds) for part in term.parts)
    raise AssertionError(term)


def in_interval(variable: str, interval: Interval, within: Interval | None = None) -> Term:
    """A reading lies in an interval. Ends that `within` (the sensor's range) implies are left out."""
    parts: list[Term] = []
    low, high = interval.low, interval.high
    if low is not None and (within is None or within.low is None or not interval.starts_before(within)):
        parts.append(negate(Less(variable, low, not interval.low_included)))
    if high is not None and (within is None or within.high is None or not interval.ends_after(within)):
        parts.append(Less(variable, high, interval.high_included))
    return conjunction(parts)


def in_set(variable: str, values: IntervalSet, within: Interval | None = None) -> Term:
    """A reading lies in a set of numbers, looked at within the sensor's range."""
    parts: list[Term] = []
    for interval in values:
        inside = interval if within is None else interval.intersect(within)
        if inside is not None:
            parts.append(in_interval(variable, inside, within))
    return disjunction(parts)


def numbers_in(terms: Iterable[Term]) -> dict[str, set[Fraction]]:
    """The numbers each reading is compared with, by reading."""
    found: dict[str, set[Fraction]] = {}
    seen: set[int] = set()
    pending = list(terms)
    while pending:
        term = pending.pop()
        if id(term) in seen:
            continue
        seen.add(id(term))
        if isinstance(term, Less):
            found.setdefault(term.variable, set()).add(term.value)
        elif isinstance(term, Negation):
            pending.append(term.part)
        elif isinstance(term, All | Some):
            pending.extend(term.parts)
    return found


def lines_in(term: Term, name: str) -> list[tuple[str, Fraction, Fraction]]:
    """Where a definition says that a reading is a factor times one other plus a constant: that other, and the two."""
    if isinstance(term, All | Some):
        return [line for part in term.parts for line in lines_in(part, name)]
    if not isinstance(term, Linear) or not term.equal:
        return []
    weights = {other: weight for other, weight in term.coefficients if weight}
    own = weights.pop(name, Fraction(0))
    if not own or len(weights) != 1:
        return []
    [(other, weight)] = weights.items()
    return [(other, -weight / own, -term.constant / own)]
