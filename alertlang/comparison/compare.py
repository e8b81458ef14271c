"""Two rule sets held against each other by what they mean."""

from __future__ import annotations

from alertlang.comparison.differences import told
from alertlang.comparison.joint import Forced, Joint, join
from alertlang.comparison.joint_context import Sides
from alertlang.comparison.statements import statement_changes
from alertlang.comparison.subjects import ComparedSubject, alerts, gauges, reworded
from alertlang.comparison.written import TEXT, label_key, written_changes
from alertlang.logic.solver import WORK_LIMIT, Answer
from alertlang.logic.terms import both, conjunction, disjunction, negate
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.results.comparison import KINDS, Change, Comparison, Direction
from alertlang.results.report import FileName


def compare(before: m.RuleSet, after: m.RuleSet, *, work_limit: int = WORK_LIMIT, words: bool = True) -> Comparison:
    """Everything in which `after` differs from `before`: `.same` is a proof, `.less_strict` a verdict.

    `work_limit` bounds each question to the solver in its own measure; what it cannot decide is a change that is told
    as undecided. `words` false: what is only said in other words is left out, for a rule set that was not written.
    """
    joint, questions = _joined(before, after, work_limit)
    sides = Sides(joint, work_limit)
    changes: list[Change] = []
    identical: list[str] = []
    asked: list[str] = []
    subjects = [*gauges(sides), *alerts(sides)]
    if not all(subject.identical for subject in subjects) and not _any_state(sides):
        # Questions look only at what they read, so that they would find states where there are none.
        changes.append(_NO_STATE)
        subjects = [subject for subject in subjects if subject.identical]
    for subject in subjects:
        name = _shown(subject)
        if subject.identical:
            if subject.sources[0]:
                identical.append(name)
            continue
        asked.append(name)
        changes += told(sides, subject)
    for (text, new), labels in reworded(sides).items():
        changes.append(
            Change(
                "text",
                text,
                Direction.OTHER,
                f'the text "{text}" is now "{new}"',
                f'"{text}" is now "{new}"',
                covers=frozenset((label_key(label), TEXT) for label in labels),
            )
        )
    changes += statement_changes(sides)
    if words:
        changes += written_changes(before, after, changes, joint.first_labels)
    changes.sort(key=lambda change: KINDS.index(change.kind))
    return Comparison(
        _file(before),
        _file(after),
        tuple(changes),
        tuple(identical),
        tuple(asked),
        questions + sides.questions,
    )


_NO_STATE = Change(
    "assumption",
    "assumptions",
    Direction.OTHER,
    "colours and alerts were not compared: what is taken for granted, with the switch positions that both sides know, "
    "leaves no state to compare them in",
    "not compared: no state is possible",
    undecided=True,
)


def _any_state(sides: Sides) -> bool:
    return sides.is_satisfiable(conjunction(term for _, term in sides.encoder.assumptions)) is not Answer.NO


def _file(rules: m.RuleSet) -> FileName:
    origin = rules.origin
    return FileName(origin.kind, origin.name, origin.version, origin.path)


def _shown(subject: ComparedSubject) -> str:
    return subject.name if subject.kind == "colour" else f'"{subject.name}"'


# ---- what means the same although it is written in another way


def _joined(before: m.RuleSet, after: m.RuleSet, work_limit: int) -> tuple[Joint, int]:
    """Both in one, with one name for what is proved to mean the same: only what has a memory or a clock needs it."""
    forced = Forced()
    questions = 0
    # A condition may read another one, and a statement both: each round may open the way for the next.
    for _ in range(3):
        joint = join(before, after, forced)
        sides = Sides(joint, work_limit)
        more = Forced(
            {**forced.conditions, **_same_conditions(sides)},
            {**forced.rules, **_same_rules(sides)},
        )
        questions += sides.questions
        if more == forced:
            break
        forced = more
    return join(before, after, forced), questions


def _same_conditions(sides: Sides) -> dict[str, str]:
    joint = sides.joint
    found: dict[str, str] = {}
    for name, known in joint.names.conditions.items():
        condition = joint.ruleset.conditions[known]
        if known in joint.first.conditions or condition.until is None:
            continue
        for other in joint.first.conditions.values():
            if other.until is None or (other.set_after, other.cleared_after) != (
                condition.set_after,
                condition.cleared_after,
            ):
                continue
            if _equal(sides, condition.formula, other.formula) and _equal(sides, condition.until, other.until):
                found[name] = other.name
                break
    return found


def _equal(sides: Sides, formula: m.Formula, other: m.Formula) -> bool:
    """Whether two formulas hold in the same states, whichever sensors have failed."""
    rules = sides.ruleset
    sensors = frozenset(
        v
        for name in rules.quantities_read(formula, other)
        for i in rules.quantities[name].indexes
        for v in rules.sensors_read(name, i)
    )
    encoder = sides.encoder.in_mode(s.told_without(sensors))
    terms = encoder.formula(formula), encoder.formula(other)
    differs = disjunction((both(terms[0], negate(terms[1])), both(terms[1], negate(terms[0]))))
    return sides.is_satisfiable(differs) is Answer.NO


def _same_rules(sides: Sides) -> dict[str, str]:
    """Statements with a clock whose rests are equal. Told as formulas, so that failures count as well."""
    joint = sides.joint
    paired = [{pair[i].label for pair in joint.pairs} for i in (0, 1)]
    found: dict[str, str] = {}
    taken: set[str] = set()
    for theirs in joint.after:
        if theirs.label in paired[1] or not _has_clock(sides, theirs.own):
            continue
        for mine in joint.before:
            if mine.label in paired[0] or mine.label in taken or not _may_match(mine.joint, theirs.joint):
                continue
            if all(
                _equal(sides, _rest(mine.joint, i), _rest(theirs.joint, i))
                for i in sides.ruleset.indexes_of(theirs.joint)
            ):
                found[theirs.own.label] = mine.label
                taken.add(mine.label)
                break
    return found


def _has_clock(sides: Sides, rule: m.Band | m.Alert) -> bool:
    return bool(rule.held or rule.after or rule.latched)


def _may_match(mine: m.Band | m.Alert, theirs: m.Band | m.Alert) -> bool:
    if isinstance(mine, m.Band) and isinstance(theirs, m.Band):
        return mine.quantity == theirs.quantity and mine.index == theirs.index and mine.colour == theirs.colour
    return isinstance(mine, m.Alert) and isinstance(theirs, m.Alert)


def _rest(rule: m.Band | m.Alert, index: int | None) -> m.Formula:
    parts: list[m.Formula] = [] if rule.when is None else [rule.when]
    if rule.unless is not None:
        parts.append(m.Not(rule.unless, rule.span))
    if isinstance(rule, m.Band):
        parts.append(m.Compare(rule.quantity, index, rule.region, rule.span))
    return m.And(tuple(parts), rule.span)
