"""Changes of what has no colour of its own: limits, assumptions, sensors, conditions, claims, exceptions, rules
followed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import replace
from itertools import product
from typing import TypeVar

from alertlang.comparison.canonical import key_of, region_key
from alertlang.comparison.joint import assumption_key
from alertlang.comparison.joint_context import Sides
from alertlang.comparison.panel import panel_changes
from alertlang.comparison.written import ALL, label_key, labels_moved
from alertlang.logic.solver import Answer
from alertlang.logic.terms import both, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.results.comparison import Change, Direction
from alertlang.text.lists import listed
from alertlang.units.number import say_value

# What has no colour and is asked of the rules, or of the world.
_Asked = m.Range | m.Assumption | m.Claim
_T = TypeVar("_T")
_LESS, _MORE, _OTHER = Direction.LESS, Direction.MORE, Direction.OTHER


def statement_changes(sides: Sides) -> list[Change]:
    """In a fixed order."""
    return [
        *_limits(sides),
        *_assumptions(sides),
        *_sensors(sides),
        *_switches(sides),
        *_conditions(sides),
        *_claims(sides),
        *_acceptances(sides),
        *_follows(sides),
        *_weights(sides),
        *panel_changes(sides.joint),
    ]


def _said(
    text: str,
    way: Direction,
    subject: str,
    kind: str = "statement",
    covers: Iterable[str] = (),
    parts: Iterable[str] = (ALL,),
) -> Change:
    """`covers`: the statements that it tells of; `parts`: of each what."""
    return Change(kind, subject, way, text, text, covers=frozenset(product(covers, parts)))


def _moved(
    gone: Sequence[_Asked],
    new: Sequence[_Asked],
    of_gone: Iterable[tuple[_Asked, Direction]],
    of_new: Iterable[tuple[_Asked, Direction]],
    words: tuple[str, str],
    kind: str,
) -> list[Change]:
    """What became of statements that only one side has, of those that matter, each with its direction: with both texts
    where one has become another, else in the words for what is gone and for what is new."""
    partners = _partners(gone, new)
    found: dict[tuple[str | None, str | None, Direction], Change] = {}
    for side, told in enumerate((of_gone, of_new)):
        for statement, way in told:
            pair = next((pair for pair in partners if pair[side] is statement), (statement,))
            texts = [_text(other) for other in pair]
            said = f"{words[side]}: {texts[0]}"
            if len(pair) == 2:
                same = f"the same words mean something else: {texts[0]}"
                said = same if texts[0] == texts[1] else f"changed: {texts[0]}; it is now: {texts[1]}"
            change = _said(said, way, statement.label, kind, (label_key(other.label) for other in pair))
            if len(pair) == 2 and texts[0] != texts[1]:
                change = replace(change, short=_brief(statement.label, *(text.split() for text in texts)))
            before, after = texts if len(pair) == 2 else [None, *texts] if side else [*texts, None]
            found.setdefault((before, after, way), replace(change, before=before, after=after))
    return list(found.values())


def _apart(key: Callable[[_T], Hashable], first: Sequence[_T], second: Sequence[_T]) -> tuple[list[_T], list[_T]]:
    """What only the first and what only the second side has."""
    keys = [{key(one) for one in side} for side in (first, second)]
    return [one for one in first if key(one) not in keys[1]], [one for one in second if key(one) not in keys[0]]


def _brief(label: str, was: list[str], now: list[str]) -> str:
    """The words that changed, between those that both begin and end with."""
    start = _alike(was, now)
    end = _alike(was[start:][::-1], now[start:][::-1])
    parts = (" ".join(words[start : len(words) - end]) or "nothing" for words in (was, now))
    return f"{label}: {' is now '.join(parts)}"


def _alike(one: list[str], other: list[str]) -> int:
    """How many words both begin with."""
    return next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _partners(gone: Sequence[_Asked], new: Sequence[_Asked]) -> list[tuple[_Asked, _Asked]]:
    """Which statement has become which: by the label that both have, then by place, where as many went as came."""
    found: list[tuple[_Asked, _Asked]] = []
    for key in (_written_label, _narrow_place, _place):
        sides: tuple[dict[object, list[_Asked]], ...] = ({}, {})
        for side, statements in enumerate((gone, new)):
            for statement in statements:
                if key(statement) is not None and not any(pair[side] is statement for pair in found):
                    sides[side].setdefault(key(statement), []).append(statement)
        for where, some in sides[0].items():
            like = sides[1].get(where, [])
            found += zip(some, like, strict=True) if len(some) == len(like) else ()
    return found


def _written_label(statement: _Asked) -> str | None:
    return statement.label if _text(statement).removeprefix("replace ").startswith(f"{statement.label}:") else None


def _narrow_place(statement: _Asked) -> tuple[object, ...]:
    """What it is about, and on which side of a number."""
    region = None if isinstance(statement, m.Assumption) else statement.region
    return *_place(statement), key_of(statement.when), None if region is None else region.kind


def _place(statement: _Asked) -> tuple[object, ...]:
    if isinstance(statement, m.Assumption):
        parts = m.parts_of(statement.formula)
        return tuple(sorted({name for part in parts for word in _NAMES if (name := getattr(part, word, ""))}))
    return statement.kind, statement.quantity, statement.index


_NAMES = ("quantity", "switch", "name")


def _text(statement: m.Range | m.Assumption | m.Claim | m.Condition | m.Acceptance | m.Weights) -> str:
    return " ".join(statement.span.text.split("#")[0].split())


# ---- limits


def _limit_key(declared: m.Range) -> tuple[object, ...]:
    place = m.variable(declared.quantity, declared.index), region_key(declared.region)
    return declared.kind, key_of(declared.when), *place, declared.needs, declared.except_for, declared.allowed


def _limits(sides: Sides) -> list[Change]:
    first, second = sides.joint.ranges
    gone, new = _apart(_limit_key, first, second)
    own = {joint.label: declared.label for joint, declared in zip(second, sides.joint.second.ranges, strict=True)}
    named = [replace(declared, label=own[declared.label]) for declared in new]

    def way(declared: m.Range, others: Iterable[m.Range], lost: Direction) -> Direction | None:
        return (
            _OTHER
            if declared.kind is m.RangeKind.NORMAL
            else _covered(sides, declared, others, lost, 0 if lost is _LESS else 1)
        )

    less = [(declared, found) for declared in gone if (found := way(declared, second, _LESS)) is not None]
    both_names = zip(new, named, strict=True)
    more = [(mine, found) for declared, mine in both_names if (found := way(declared, first, _MORE)) is not None]
    return _moved(gone, named, less, more, ("taken away", "new"), "limit")


def _covered(sides: Sides, declared: m.Range, others: Iterable[m.Range], way: Direction, side: int) -> Direction | None:
    """`way` if something that a limit forbids (or a precaution covers) is not covered as well by the other side; none
    if all of it is, which is a proof. `side` is that of the one."""
    name_on = sides.joint.name_on
    name = name_on(side, declared.quantity)
    like = [
        o
        for o in others
        if name_on(1 - side, o.quantity) == name
        and (o.kind is declared.kind or (declared.forbids and o.forbids))
        and _as_severe(o, declared)
    ]
    for index in sides.ruleset.elements(declared.quantity):
        if declared.index not in {None, index}:
            continue
        if not all(sides.joint.has(side, declared.quantity, index) for side in (0, 1)):
            # An element that the other side does not have is told as such; what names it is not covered there.
            if declared.index is not None:
                return way
            continue
        rest = disjunction(sides.encoder.matters(o, index) for o in like if o.index in {None, index})
        if sides.is_satisfiable(both(sides.encoder.matters(declared, index), negate(rest))) is not Answer.NO:
            return way
    return None


def _as_severe(declared: m.Range, than: m.Range) -> bool:
    return (declared.needs or 0) >= (than.needs or 0) and (
        (declared.except_for or 0) <= (than.except_for or 0) and declared.allowed <= than.allowed
    )


# ---- what is taken for granted


def _assumptions(sides: Sides) -> list[Change]:
    joint = sides.joint
    theirs = [joint.names.assumption(a, a.label) for a in joint.second.assumptions]
    gone, new = _apart(assumption_key, joint.first.assumptions, theirs)
    less = [(a, _LESS) for a in new if not _implied(sides, a, joint.first.assumptions)]
    more = [(a, _MORE) for a in gone if not _implied(sides, a, theirs)]
    words = ("no longer taken for granted", "newly taken for granted")
    return _moved(gone, new, more, less, words, "assumption")


def _implied(sides: Sides, assumption: m.Assumption, given: Iterable[m.Assumption]) -> bool:
    terms = [sides.encoder.assumption(a) for a in given]
    return sides.decider.possible_without(negate(sides.encoder.assumption(assumption)), terms) is Answer.NO


def _sensors(sides: Sides) -> list[Change]:
    found: list[Change] = []
    first, second = sides.joint.first.quantities, sides.joint.second.quantities
    for name, quantity in first.items():
        other = second.get(name)
        if other is None:
            if quantity.derived is None:
                way = _LESS if _is_used(sides, name) else _OTHER
                found.append(_said(f"{name} is no longer read", way, name, covers=(f"quantity {name}",)))
            continue
        found += _sensor(quantity, other)
    for name, quantity in second.items():
        if name not in first and quantity.derived is None:
            found.append(_said(f"{name} is read, which it was not", _OTHER, name, covers=(f"quantity {name}",)))
    return found


def _is_used(sides: Sides, name: str) -> bool:
    rules = sides.joint.first
    read = rules.quantities_read(*(r.when for r in rules.rules), *(r.unless for r in rules.rules))
    return name in read or any(isinstance(r, m.Band) and r.quantity == name for r in rules.rules)


def _sensor(quantity: m.Quantity, other: m.Quantity) -> list[Change]:
    name = quantity.name
    if (quantity.derived is None) != (other.derived is None) or (quantity.size is None) != (other.size is None):
        return [_said(f"{name} is not the same reading any more", _LESS, name)]
    resized = [] if quantity.derived is not None else _resized(quantity, other)
    if quantity.derived is not None and not quantity.is_trend:
        return []
    if quantity.unit.dimension != other.unit.dimension:
        return [*resized, _said(f"{name} is in {other.unit.name}, no longer in {quantity.unit.name}", _LESS, name)]
    if quantity.unit != other.unit:
        return [*resized, _said(f"{name} is told in {other.unit.name} instead of {quantity.unit.name}", _OTHER, name)]
    found = resized
    if (quantity.low, quantity.high) != (other.low, other.high):
        narrower = other.low > quantity.low or other.high < quantity.high
        ends = [f"{say_value(q.low, q.unit)} to {say_value(q.high, q.unit)}" for q in (other, quantity)]
        text = f"{name} reads from {ends[0]} instead of {ends[1]}; compared where both read"
        found.append(_part(text, _LESS if narrower else _OTHER, name, "low", "high"))
    for word in ("deadband", "accuracy", "step"):
        values = [getattr(q, word) for q in (quantity, other)]
        if values[0] != values[1]:
            # What another deadband does is told of the bands that it keeps.
            said = [say_value(v, quantity.unit) if v is not None else "none" for v in values]
            found.append(_part(f"{word} of {name}: {said[1]} instead of {said[0]}", _OTHER, name, word))
    return found


def _resized(quantity: m.Quantity, other: m.Quantity) -> list[Change]:
    """Elements of an array that one side alone has; the others are the same sensors."""
    if quantity.size is None or other.size is None or quantity.size == other.size:
        return []
    more = [
        m.variable(quantity.name, i)
        for i in range(min(quantity.size, other.size) + 1, max(quantity.size, other.size) + 1)
    ]
    names = f"{listed(more)} {'is' if len(more) == 1 else 'are'}"
    read, way = ("read", _OTHER) if quantity.size < other.size else ("no longer read", _LESS)
    return [
        _part(
            f"{names} {read}, as {quantity.name} has {other.size} elements instead of {quantity.size}",
            way,
            quantity.name,
            "size",
        )
    ]


def _part(text: str, way: Direction, name: str, *parts: str) -> Change:
    return _said(text, way, name, covers=(f"quantity {name}",), parts=parts)


def _switches(sides: Sides) -> list[Change]:
    first, second = sides.joint.first.switches, sides.joint.second.switches
    found: list[Change] = []
    for name in dict.fromkeys((*first, *second)):
        mine = set(first[name].positions) if name in first else set()
        theirs = set(second[name].positions) if name in second else set()
        both = [
            [p for p in side[name].positions if p in mine & theirs] if name in side else [] for side in (first, second)
        ]
        told = [(f"{name} is no longer {' or '.join(sorted(mine - theirs))}", _LESS)] if mine - theirs else []
        told += [(f"{name} may be {' or '.join(sorted(theirs - mine))}", _OTHER)] if theirs - mine else []
        covers = (f"switch {name}",) if both[0] == both[1] else ()
        found += [_said(text, way, name, covers=covers, parts=("positions",)) for text, way in told]
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
                text = f"condition {name}: {_text(theirs)}; it was: {_text(mine)}"
                if _text(theirs) == _text(mine):
                    text = f"the same words mean something else: {_text(mine)}"
                found.append(_said(text, _OTHER, name, covers=(f"condition {name}",)))
    return found


def _same_truth(sides: Sides, mine: m.Condition, now: m.Condition) -> bool:
    term, other = sides.encoder.formula(mine.formula), sides.encoder.formula(now.formula)
    differs = disjunction((both(term, negate(other)), both(other, negate(term))))
    return sides.is_satisfiable(differs) is Answer.NO


# ---- what is asked of the rules


def _claims(sides: Sides) -> list[Change]:
    joint = sides.joint
    mine = joint.first.claims
    theirs = [joint.names.claim(claim) for claim in joint.second.claims]
    gone, new = _apart(_claim_key, mine, theirs)
    lost = [(claim, _LESS) for claim in gone if not any(_claims_as_much(sides, other, claim, 1) for other in theirs)]
    more = [(claim, _MORE) for claim in new if not any(_claims_as_much(sides, other, claim, 0) for other in mine)]
    return _moved(gone, new, lost, more, ("no longer claimed", "newly claimed"), "statement")


def _claim_key(claim: m.Claim) -> tuple[object, ...]:
    place = claim.quantity, claim.index, None if claim.region is None else region_key(claim.region)
    return claim.kind, key_of(claim.when), *place, claim.colour, claim.level, claim.within


def _claims_as_much(sides: Sides, one: m.Claim, other: m.Claim, side: int) -> bool:
    """Proved: whoever keeps the one claim, of a side, keeps the other, of the other side."""
    names = [q and sides.joint.name_on(s, q) for s, q in ((side, one.quantity), (1 - side, other.quantity))]
    if names[0] != names[1] or one.index != other.index or not _asks_as_much(one, other):
        return False
    rules = sides.ruleset
    encoder = sides.encoder_for(one.when, other.when)
    for index in (None,) if one.quantity is None else rules.quantities[one.quantity].indexes:
        cases = []
        for claim in (one, other):
            given = encoder.formula(claim.when)
            if claim.quantity is not None and claim.region is not None:
                given = both(given, encoder.in_region(claim.quantity, index, claim.region))
            cases.append(given)
        if not sides.never(both(cases[1], negate(cases[0]))):
            return False
    return True


def _asks_as_much(claim: m.Claim, other: m.Claim) -> bool:
    """What is claimed of a state where both speak of it. Without `within` the time does not count."""
    if claim.kind != other.kind:
        kinds = (claim.kind, other.kind)
        return kinds == (m.ClaimKind.IS, m.ClaimKind.AT_LEAST) and claim.colour == other.colour
    if claim.kind.raises:
        assert claim.level is not None
        assert other.level is not None
        soon = other.within is None or (claim.within is not None and claim.within <= other.within)
        return claim.level >= other.level and soon
    if claim.kind is m.ClaimKind.AT_LEAST:
        assert claim.colour is not None
        assert other.colour is not None
        return claim.colour.rank >= other.colour.rank
    return claim.colour == other.colour


def _acceptances(sides: Sides) -> list[Change]:
    labels = {**labels_moved(sides.joint.first, sides.joint.second), **sides.joint.first_labels}
    mine = {(a.check, a.target): a for a in sides.joint.first.acceptances}
    theirs = {(a.check, labels.get(a.target, a.target)): a for a in sides.joint.second.acceptances}
    found: list[Change] = []
    for key, acceptance in mine.items():
        other = theirs.get(key)
        if other is None:
            found.append(
                _said(f"no longer accepted: {_text(acceptance)}", _MORE, acceptance.target, covers=_accept_key(key))
            )
        elif (acceptance.until or "9") != (other.until or "9"):
            longer = (other.until or "9") > (acceptance.until or "9")
            text = f"accepted until {other.until or 'further notice'}: {acceptance.check} on {acceptance.target}"
            way = _LESS if longer else _MORE
            found.append(_said(text, way, acceptance.target, covers=_accept_key(key), parts=("until",)))
        if other is not None and acceptance.reason != other.reason:
            text = f"accepted for another reason: {acceptance.check} on {acceptance.target}"
            found.append(_said(text, _OTHER, acceptance.target, covers=_accept_key(key), parts=("reason",)))
    return found + [
        _said(f"newly accepted: {_text(acceptance)}", _LESS, acceptance.target, covers=_accept_key(key))
        for key, acceptance in theirs.items()
        if key not in mine
    ]


def _accept_key(key: tuple[str, str]) -> tuple[str, ...]:
    return (f"accept {key[0]} on {key[1]}",)


def _follows(sides: Sides) -> list[Change]:
    mine, theirs = (
        {follow.rule: follow for follow in side.follows} for side in (sides.joint.first, sides.joint.second)
    )
    found: list[Change] = []
    for rule, follow in mine.items():
        other = theirs.get(rule)
        if other is None:
            found.append(_said(f"no longer held to {_held_to(follow)}", _LESS, rule, covers=(f"follow {rule}",)))
        elif other.as_of != follow.as_of:
            # Which of two texts asks for more nobody can say here.
            text = f"held to another text: {_held_to(follow)}; it is now: {_held_to(other)}"
            found.append(_said(text, _OTHER, rule, covers=(f"follow {rule}",)))
    return found + [
        _said(f"held to {_held_to(follow)}", _MORE, rule, covers=(f"follow {rule}",))
        for rule, follow in theirs.items()
        if rule not in mine
    ]


def _held_to(follow: m.Follow) -> str:
    return f'"{follow.rule}"' + ("" if follow.as_of is None else f" as of {follow.as_of}")


def _weights(sides: Sides) -> list[Change]:
    both_sides = (sides.joint.first, sides.joint.second)
    weights = [(side.maximum_weight, side.arc_weight) for side in both_sides]
    facts = [tuple(weight and weight.in_kilograms for weight in side) for side in weights]
    if facts[0] == facts[1]:
        return []
    was, now = ("; ".join(_text(weight) for weight in side.weights) for side in both_sides)
    if not was or not now:
        text = f"no longer said: {was}" if was else f"newly said: {now}"
    else:
        text = f"changed: {was}; it is now: {now}"
    return [_said(text, _OTHER, "weights", covers=("weights",))]
