"""Rules in words for a person who has never seen the language: titles for names, contexts by name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from alertlang.keying.edges import to_unit
from alertlang.keying.lines import definition, display_unit
from alertlang.model import ruleset as m
from alertlang.model.expression import CurveOver, Statistic, Trend, inputs
from alertlang.units.number import say_value
from alertlang.units.unit import Unit


def name_words(name: str) -> str:
    """`cold_or_blind` as it is said."""
    return name.replace("_", " ")


def title_of(ruleset: m.RuleSet, quantity: str) -> str:
    """What a quantity is called, beginning in lower case unless it is an abbreviation.

    What follows a comma stands in brackets, so that "Battery current, plus is charging" can begin a sentence.
    """
    title = ruleset.quantities[quantity].title or name_words(quantity)
    first, comma, rest = title.partition(", ")
    title = f"{first} ({rest})" if comma else title
    return title if title[:2].isupper() else title[0].lower() + title[1:]


_PER = {"s": " per second", "min": " per minute", "h": " per hour"}


def per_words(quantity: m.Quantity) -> str:
    """What follows the unit of a rise or fall: `50 F per minute`; nothing for any other quantity."""
    return "" if quantity.per is None else _PER[quantity.per]


def range_words(low: Fraction, high: Fraction, unit: Unit, per: str = "") -> str:
    """Between which values something moves: `147 kt to 203 kt`; `per` follows the last unit."""
    said = say_value(low, unit) if low == high else f"{say_value(low, unit)} to {say_value(high, unit)}"
    return said + per


def region_words(ruleset: m.RuleSet, quantity: str, region: m.Region) -> str:
    """A region in the unit that the gauge shows, which is the one that a person sees."""
    measured = ruleset.quantities[quantity]
    unit, _ = display_unit(ruleset, quantity)
    per = per_words(measured)

    def shown(value: Fraction) -> Fraction:
        return to_unit(value, measured.unit, unit, measured.difference)

    def end(bound: m.Bound) -> str:
        if isinstance(bound, m.Moving):
            # A name alone tells nobody where the end is; between which values it moves does.
            return f"{name_words(bound.quantity)} ({range_words(shown(bound.low), shown(bound.high), unit, per)})"
        return say_value(shown(bound), unit) + per

    first = "" if region.is_failed else end(region.first)
    if region.is_failed:
        return "sensor failed"
    if region.second is None:
        return region.kind.words.format(first)
    # Said once, after the second end.
    return region.kind.words.format(first.removesuffix(per) if per else first, end(region.second))


def formula_words(ruleset: m.RuleSet, formula: m.Formula) -> str:
    """A formula in plain words; named contexts stay names, a card explains them in a place of their own."""
    match formula:
        case m.Compare():
            which = "" if formula.index is None else f" {formula.index}"
            word = f"{formula.quantifier} " if formula.quantifier else ""
            said = region_words(ruleset, formula.quantity, formula.region)
            return f"{word}{title_of(ruleset, formula.quantity)}{which} {said}"
        case m.SwitchIs():
            title = ruleset.switches[formula.switch].title or name_words(formula.switch)
            return f"{title[0].lower() + title[1:]} {'not ' if formula.negated else ''}{name_words(formula.position)}"
        case m.ConditionIs():
            return name_words(formula.name)
        case m.Held():
            how = "at least" if formula.at_least else "less than"
            return f"{_inner(ruleset, formula.part)} for {how} {m.in_seconds(formula.duration)}"
        case m.Not():
            return f"not {_inner(ruleset, formula.part)}"
        case m.And():
            return " and ".join(_inner(ruleset, part) for part in formula.parts)
        case m.Or():
            return " or ".join(_inner(ruleset, part) for part in formula.parts)


def _inner(ruleset: m.RuleSet, formula: m.Formula) -> str:
    words = formula_words(ruleset, formula)
    return f"({words})" if isinstance(formula, m.And | m.Or) else words


def condition_words(ruleset: m.RuleSet, condition: m.Condition) -> str:
    """What a named context means, with what it remembers and how long it takes."""
    said = formula_words(ruleset, condition.formula)
    if condition.until is not None:
        said += f", until {formula_words(ruleset, condition.until)}"
    times = [
        f"{word} after {m.in_seconds(time)}"
        for word, time in (("set", condition.set_after), ("cleared", condition.cleared_after))
        if time
    ]
    return said + (f" ({', '.join(times)})" if times else "")


# ---- values that are computed, such as the end of a band that moves along a curve: in words, with numbers


_STATISTICS = {
    "highest": "the highest {}",
    "lowest": "the lowest {}",
    "average": "the average {}",
    "spread": "the highest {} less the lowest",
    "deviation": "each {} less their average",
}


def computed_words(ruleset: m.RuleSet, names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """What each computed value of `names` is, and each that it is computed from in its turn: its name, and the points
    of a curve or what it is made of, with the values it can have. Names of readings are passed over."""
    pending, found = list(names), set[str]()
    while pending:
        name = pending.pop(0)
        quantity = ruleset.quantities[name]
        if name in found or quantity.derived is None:
            continue
        found.add(name)
        pending += inputs(quantity.derived)
        yield title_of(ruleset, name), _words(ruleset, quantity)


def _words(ruleset: m.RuleSet, quantity: m.Quantity) -> str:
    match quantity.derived:
        case CurveOver() as curve:
            return _curve(ruleset, quantity, curve)
        case Statistic(kind, read, _):
            said = _STATISTICS[kind].format(title_of(ruleset, read))
        case Trend(kind, read, index, _):
            which = "" if index is None else f" {index}"
            said = f"{kind} of {title_of(ruleset, read)}{which}{per_words(quantity)}"
        case _:
            # As it is written, with the names as they are said; its numbers carry their units.
            said = definition(quantity).replace("_", " ")
    return f"{said}; from {range_words(quantity.low, quantity.high, quantity.unit, per_words(quantity))}"


def _curve(ruleset: m.RuleSet, quantity: m.Quantity, curve: CurveOver) -> str:
    """All points: with straight lines between and the end values beyond they are the whole curve."""
    read = ruleset.quantities[curve.quantity]
    which = "" if curve.index is None else f" {curve.index}"
    points = ", ".join(f"{say_value(y, quantity.unit)} at {say_value(x, read.unit)}" for x, y in curve.points)
    beyond = "straight lines between, the end values beyond" if len(curve.points) > 1 else "everywhere"
    failed = "; none" if curve.otherwise is None else f"; {say_value(curve.otherwise, quantity.unit)}"
    name = f"{title_of(ruleset, curve.quantity)}{which}"
    return f"by {name}: {points}; {beyond}{failed} while that sensor has failed"
