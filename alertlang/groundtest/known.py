"""What is plain of a term once some stimuli are known, without a solver: so that it is not asked in vain."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from alertlang.logic.terms import All, At, Flag, Less, Linear, Not, Some, Term

# Of a name: its reading, its position, whether its flag is up; none where that is open.
Known = Callable[[str], Fraction | str | bool | None]


def could_be(term: Term, known: Known) -> bool:
    """Whether what is known leaves it open that a term is true. False is certain; true may still be wrong."""
    return _Look(known).at(term) is not False


class _Look:
    def __init__(self, known: Known) -> None:
        self.known = known
        self.found: dict[int, bool | None] = {}

    def at(self, term: Term) -> bool | None:
        key = id(term)
        if key not in self.found:
            self.found[key] = self._at(term)
        return self.found[key]

    def _at(self, term: Term) -> bool | None:
        match term:
            case Less():
                value = self.known(term.variable)
                if not isinstance(value, Fraction):
                    return None
                return value < term.value or (term.included and value == term.value)
            case At():
                position = self.known(term.switch)
                return position == term.position if isinstance(position, str) else None
            case Flag():
                up = self.known(term.name)
                return up if isinstance(up, bool) else None
            case Linear():
                return self._sum(term)
            case Not():
                part = self.at(term.part)
                return None if part is None else not part
            case All():
                return self._parts(term.parts, ends=False)
            case Some():
                return self._parts(term.parts, ends=True)
        raise AssertionError(term)

    def _sum(self, term: Linear) -> bool | None:
        total = term.constant
        for name, factor in term.coefficients:
            value = self.known(name)
            if not isinstance(value, Fraction):
                return None
            total += factor * value
        return total == 0 if term.equal else total <= 0

    def _parts(self, parts: tuple[Term, ...], *, ends: bool) -> bool | None:
        """`ends`: the value of one part that settles the whole."""
        open_one = False
        for part in parts:
            value = self.at(part)
            if value is ends:
                return ends
            open_one = open_one or value is None
        return None if open_one else not ends
