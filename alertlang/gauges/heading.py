"""What stands over a strip: the contexts in which a scale looks so, as formulas that can be checked, and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from alertlang.meaning.instant import Instant
from alertlang.model import ruleset as m
from alertlang.model.snapshot import formula_words
from alertlang.units.interval import IntervalSet

# A formula, and whether it is true.
Literal = tuple[m.Formula, bool]


@dataclass(frozen=True, slots=True)
class Heading:
    """All of `literals` together, which are `words`."""

    literals: tuple[Literal, ...]
    words: str

    def holds(self, instant: Instant) -> bool:
        return all(instant.holds(formula) is true for formula, true in self.literals)


def heading(ruleset: m.RuleSet, literals: Sequence[Literal]) -> Heading:
    """The heading that says just what the literals say; of a switch where it stands, or where it does not."""
    found: dict[str, None] = {}
    for formula, true in literals:
        if isinstance(formula, m.SwitchIs):
            found[_position(ruleset, formula.switch, literals)] = None
            continue
        words = formula_words(ruleset, formula)
        if true:
            found[words] = None
        else:
            found[f"not {words}" if isinstance(formula, m.ConditionIs) else f"not ({words})"] = None
    return Heading(tuple(literals), " and ".join(found))


def _position(ruleset: m.RuleSet, switch: str, literals: Sequence[Literal]) -> str:
    said = [(f.position, true) for f, true in literals if isinstance(f, m.SwitchIs) and f.switch == switch]
    here = [position for position, true in said if true]
    left = [p for p in ruleset.switches[switch].positions if (p, False) not in said]
    if here or len(left) == 1:
        return f"{switch} is {(here or left)[0]}"
    return " and ".join(f"{switch} is not {position}" for position, _ in said)


def drop_order(ruleset: m.RuleSet, truths: Mapping[m.Formula, bool]) -> list[m.Formula]:
    """In which order to try to do without a literal: the last first (conditions come before what they read), and of
    those about one switch or one reading what says the most first, so that what is left says as little as will do."""
    groups: dict[tuple[str, object], list[m.Formula]] = {}
    for formula in reversed(list(truths)):
        groups.setdefault(_about(formula), []).append(formula)
    return [
        formula for group in groups.values() for formula in sorted(group, key=lambda f: _left(ruleset, f, truths[f]))
    ]


def _about(formula: m.Formula) -> tuple[str, object]:
    match formula:
        case m.SwitchIs():
            return ("switch", formula.switch)
        case m.Compare():
            return ("reading", m.variable(formula.quantity, formula.index))
    return ("formula", formula)


def _left(ruleset: m.RuleSet, formula: m.Formula, true: bool) -> Fraction:
    """How much a literal leaves open: of a switch all positions but one, or one; of a reading, a part of its range."""
    if isinstance(formula, m.SwitchIs):
        return Fraction(0 if true else 1)
    if not isinstance(formula, m.Compare) or formula.region.moves:
        return Fraction(0)
    sensor = ruleset.quantities[formula.quantity].range
    inside = formula.region.values.intersect(IntervalSet.of(sensor)).width() or Fraction(0)
    whole = sensor.width() or Fraction(0)
    return inside if true else whole - inside
