"""Changes of what has no colour of its own: limits, assumptions, sensors, conditions, claims, exceptions, rules
followed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from alertlang.comparison.canonical import key_of, region_key
from alertlang.comparison.panel import panel_changes
from alertlang.comparison.sides import Sides
from alertlang.diagnostics.comparison import Change, Direction
from alertlang.logic.solver import Answer
from alertlang.logic.terms import Term, both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.units.number import say_value

_LESS, _MORE, _OTHER = Direction.LESS, Direction.MORE, Direction.OTHER


def statement_changes(sides: Sides, told: list[Change]) -> list[Change]:
    """In a fixed order. `told`: what is known already of colours and alerts."""
    return [
        *_limits(sides),
        *_assumptions(sides),
        *_sensors(sides),
        *_switches(sides),
        *_conditions(sides),
        *_claims(sides),
        *_acceptances(sides),
        *_follows(sides),
        *panel_changes(sides.joint),
    ]


def _said(text: str, way: Direction, subject: str, kind: str = "statement") -> Change:
    return Change(kind, subject, way, text, text)


def _text(statement: m.Range | m.Assumption | m.Claim | m.Condition | m.Acceptance) -> str:
    return " ".join(statement.span.text.split("#")[0].split())


# ---- limits


def _limit_key(one: m.Range) -> tuple[object, ...]:
    place = m.variable(one.quantity, one.index), region_key(one.region)
    return one.kind, key_of(one.when), *place, one.needs, one.except_for, one.allowed


def _limits(sides: Sides) -> list[Change]:
    first, second = sides.joint.ranges
    keys = [{_limit_key(one) for one in side} for side in (first, second)]
    gone = [one for one in first if _limit_key(one) not in keys[1]]
    new = [one for one in second if _limit_key(one) not in keys[0]]
    found: list[Change] = []
    for one in gone:
        way = _OTHER if one.kind == "normal" else _covered(sides, one, second, _LESS)
        if way is not None:
            found.append(_said(f"taken away or changed: {_text(one)}", way, one.label, "limit"))
    for one in new:
        way = _OTHER if one.kind == "normal" else _covered(sides, one, first, _MORE)
        if way is not None:
            found.append(_said(f"new or changed: {_text(one)}", way, one.label, "limit"))
    return found


def same_limits(sides: Sides) -> Iterable[tuple[m.Range, m.Range]]:
    """Limits and ranges that both sides have, in the order of the first one: those of one label before all others."""
    first, second = sides.joint.ranges
    own = {joint.label: one.label for joint, one in zip(second, sides.joint.second.ranges, strict=True)}
    alike: dict[tuple[object, ...], list[m.Range]] = {}
    for other in second:
        alike.setdefault(_limit_key(other), []).append(other)
    for one in first:
        like = alike.get(_limit_key(one))
        if like:
            yield one, min(like, key=lambda other: own[other.label] != one.label)


def _covered(sides: Sides, one: m.Range, others: Iterable[m.Range], way: Direction) -> Direction | None:
    """`way` if something that a limit forbids (or a precaution covers) is not covered as well by the other side; none
    if all of it is, which is a proof."""
    like = [o for o in others if o.quantity == one.quantity and o.kind in _kinds(one) and _as_severe(o, one)]
    for index in sides.ruleset.elements(one.quantity):
        if one.index not in {None, index}:
            continue
        rest = disjunction(_hit(sides, o, index) for o in like if o.index in {None, index})
        if sides.possible(both(_hit(sides, one, index), negate(rest))) is not Answer.NO:
            return way
    return None


def _kinds(one: m.Range) -> set[str]:
    return {"limit", "avoid"} if one.kind in {"limit", "avoid"} else {one.kind}


def _hit(sides: Sides, one: m.Range, index: int | None) -> Term:
    encoder = sides.encoder
    return encoder.violated(one, index) if one.kind in {"limit", "avoid"} else encoder.inside(one, index)


def _as_severe(one: m.Range, than: m.Range) -> bool:
    return (one.needs or 0) >= (than.needs or 0) and (
        (one.except_for or 0) <= (than.except_for or 0) and one.allowed <= than.allowed
    )


# ---- what is taken for granted


def _assumptions(sides: Sides) -> list[Change]:
    joint = sides.joint
    theirs = [joint.names.assumption(a, a.label) for a in joint.second.assumptions]
    lists = (list(joint.first.assumptions), theirs)
    keys = [{(key_of(a.when), key_of(a.formula)) for a in side} for side in lists]
    new = [a for a in theirs if (key_of(a.when), key_of(a.formula)) not in keys[0] and not _implied(sides, a, lists[0])]
    gone = [
        a for a in lists[0] if (key_of(a.when), key_of(a.formula)) not in keys[1] and not _implied(sides, a, theirs)
    ]
    return [
        *(_said(f"newly taken for granted: {_text(a)}", _LESS, a.label, "assumption") for a in new),
        *(_said(f"no longer taken for granted: {_text(a)}", _MORE, a.label, "assumption") for a in gone),
    ]


def _implied(sides: Sides, one: m.Assumption, given: Iterable[m.Assumption]) -> bool:
    terms = [sides.encoder.assumption(a) for a in given]
    return sides.decider.possible_without(negate(sides.encoder.assumption(one)), terms) is Answer.NO


def _sensors(sides: Sides) -> list[Change]:
    found: list[Change] = []
    first, second = sides.joint.first.quantities, sides.joint.second.quantities
    for name, one in first.items():
        other = second.get(name)
        if other is None:
            if one.derived is None:
                found.append(_said(f"{name} is no longer read", _LESS if _is_used(sides, name) else _OTHER, name))
            continue
        found += _sensor(one, other)
    for name, one in second.items():
        if name not in first and one.derived is None:
            found.append(_said(f"{name} is read, which it was not", _OTHER, name))
    return found


def _is_used(sides: Sides, name: str) -> bool:
    rules = sides.joint.first
    read = rules.quantities_read(*(r.when for r in rules.rules), *(r.unless for r in rules.rules))
    return name in read or any(isinstance(r, m.Band) and r.quantity == name for r in rules.rules)


def _sensor(one: m.Quantity, other: m.Quantity) -> list[Change]:
    name = one.name
    if (one.derived is None) != (other.derived is None) or one.size != other.size:
        return [_said(f"{name} is not the same reading any more", _LESS, name)]
    if one.derived is not None and not one.is_trend:
        return []
    if one.unit.dimension != other.unit.dimension:
        return [_said(f"{name} is in {other.unit.name}, no longer in {one.unit.name}", _LESS, name)]
    if one.unit != other.unit:
        return [_said(f"{name} is told in {other.unit.name} instead of {one.unit.name}", _OTHER, name)]
    found: list[Change] = []
    if (one.low, one.high) != (other.low, other.high):
        narrower = other.low > one.low or other.high < one.high
        ends = [f"{say_value(q.low, q.unit)} to {say_value(q.high, q.unit)}" for q in (other, one)]
        text = f"{name} reads from {ends[0]} instead of {ends[1]}; compared where both read"
        found.append(_said(text, _LESS if narrower else _OTHER, name))
    for word in ("deadband", "accuracy", "step"):
        values = [getattr(q, word) for q in (one, other)]
        if values[0] != values[1]:
            said = [say_value(v, one.unit) if v is not None else "none" for v in values]
            less = word == "deadband" and (values[1] or 0) < (values[0] or 0)
            found.append(_said(f"{word} of {name}: {said[1]} instead of {said[0]}", _LESS if less else _OTHER, name))
    return found


def _switches(sides: Sides) -> list[Change]:
    first, second = sides.joint.first.switches, sides.joint.second.switches
    found: list[Change] = []
    for name in dict.fromkeys((*first, *second)):
        mine = set(first[name].positions) if name in first else set()
        theirs = set(second[name].positions) if name in second else set()
        if mine - theirs:
            found.append(_said(f"{name} is no longer {' or '.join(sorted(mine - theirs))}", _LESS, name))
        if theirs - mine:
            found.append(_said(f"{name} may be {' or '.join(sorted(theirs - mine))}", _OTHER, name))
    return found


# ---- conditions and times


def _conditions(sides: Sides) -> list[Change]:
    joint = sides.joint
    found: list[Change] = []
    for name, known in joint.names.conditions.items():
        theirs = joint.second.conditions[name]
        mine = joint.first.conditions.get(known) or joint.first.conditions.get(name)
        if mine is None:
            continue
        if known not in joint.first.conditions and known not in joint.delays:
            now = joint.ruleset.conditions[known]
            if not (mine.until is None and now.until is None and _same_truth(sides, mine, now)):
                found.append(_said(f"condition {name}: {_text(theirs)}; it was: {_text(mine)}", _OTHER, name))
    return found


def _same_truth(sides: Sides, mine: m.Condition, now: m.Condition) -> bool:
    one, other = sides.encoder.formula(mine.formula), sides.encoder.formula(now.formula)
    differs = disjunction((both(one, negate(other)), both(other, negate(one))))
    return sides.possible(differs) is Answer.NO


# ---- what is asked of the rules


def _claims(sides: Sides) -> list[Change]:
    def key(one: m.Claim, rename: bool) -> tuple[object, ...]:
        names = sides.joint.names
        when = names.maybe(one.when) if rename else one.when
        region = names.region(one.region) if rename and one.region is not None else one.region
        quantity = names.quantities.get(one.quantity, one.quantity) if rename and one.quantity else one.quantity
        place = quantity, one.index, None if region is None else region_key(region)
        return one.kind, key_of(when), *place, one.colour, one.level, one.within

    mine = {key(one, False): one for one in sides.joint.first.claims}
    theirs = {key(one, True): one for one in sides.joint.second.claims}
    gone = [_said(f"no longer claimed: {_text(c)}", _LESS, c.label) for k, c in mine.items() if k not in theirs]
    return gone + [_said(f"newly claimed: {_text(c)}", _MORE, c.label) for k, c in theirs.items() if k not in mine]


def _acceptances(sides: Sides) -> list[Change]:
    labels = {rule.own.label: rule.label for rule in sides.joint.after}
    mine = {(a.check, a.target): a for a in sides.joint.first.acceptances}
    theirs = {(a.check, labels.get(a.target, a.target)): a for a in sides.joint.second.acceptances}
    found: list[Change] = []
    for key, one in mine.items():
        other = theirs.get(key)
        if other is None:
            found.append(_said(f"no longer accepted: {_text(one)}", _MORE, one.target))
        elif (one.until or "9") != (other.until or "9"):
            longer = (other.until or "9") > (one.until or "9")
            text = f"accepted until {other.until or 'further notice'}: {one.check} on {one.target}"
            found.append(_said(text, _LESS if longer else _MORE, one.target))
        elif one.reason != other.reason:
            text = f"accepted for another reason: {one.check} on {one.target}"
            found.append(_said(text, _OTHER, one.target))
    return found + [_said(f"newly accepted: {_text(a)}", _LESS, a.target) for k, a in theirs.items() if k not in mine]


def _follows(sides: Sides) -> list[Change]:
    mine = dict.fromkeys(one.rule for one in sides.joint.first.follows)
    theirs = dict.fromkeys(one.rule for one in sides.joint.second.follows)
    gone = [_said(f'no longer held to "{rule}"', _LESS, rule) for rule in mine if rule not in theirs]
    return gone + [_said(f'held to "{rule}"', _MORE, rule) for rule in theirs if rule not in mine]
