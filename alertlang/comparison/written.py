"""What two rule sets say in other words: the net under everything else, so that nothing is left untold.

The canonical texts of both are held against each other, statement by statement, each file's after those it uses,
without headers and labels. Where they differ and no told change covers every part that differs, the statement is told
as it stands. Parts are the fields of the tree, so that a new word of the language is a new part, which nothing
covers until somebody tells what it does.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

from alertlang.format.text import format_statement
from alertlang.model import ruleset as m
from alertlang.results.comparison import Change, Direction
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.syntax.split import split
from alertlang.text.source import Source

_T = TypeVar("_T")
ALL = "*"
# What is told of a band or an alert: where it applies and what it shows, its text, its times.
WHAT, TEXT, TIMES = "what", "text", "times"
_PARTS = {
    "when": WHAT,
    "subject": WHAT,
    "region": WHAT,
    "colour": WHAT,
    "unless": WHAT,
    "level": WHAT,
    "text": TEXT,
    "held": TIMES,
    "after": TIMES,
    "latched": TIMES,
}
_WORDS = re.compile(r'"[^"\n]*"|#[^\n]*|[^\s"#]+')
# So many statements are told by themselves, the rest by name.
_MOST = 12


@dataclass(frozen=True, slots=True)
class _Raw:
    """A statement as a file has it; `words` without comments and layout."""

    file: str
    kind: str
    start: int
    words: str
    text: str


@dataclass(frozen=True, slots=True)
class _Unit:
    """The same as a tree. `key` says which statement it is, `canonical` what it says but for its label."""

    key: str
    node: t.Node
    canonical: str


def label_key(label: str) -> str:
    """Which statement a label names."""
    return f"label {label}"


def labels_moved(first: m.RuleSet, second: m.RuleSet) -> dict[str, str]:
    """By its label in the second rule set, what a statement that both have is called in the first."""
    mine, theirs = (_labelled(rules) for rules in (first, second))
    found: dict[str, str] = {}
    for words, labels in theirs.items():
        known = list(mine.get(words, ()))
        same = [label for label in labels if label in known]
        found.update((label, label) for label in same)
        rest = [label for label in known if label not in same]
        found.update(zip((label for label in labels if label not in same), rest, strict=False))
    return found


def _statements(rules: m.RuleSet) -> Iterable[m.Band | m.Alert | m.Range | m.Assumption | m.Claim]:
    return (*rules.rules, *rules.ranges, *rules.assumptions, *rules.claims)


def _labelled(rules: m.RuleSet) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for statement in _statements(rules):
        words = _words(statement.span.text)
        for start in (f"{statement.label}: ", f"replace {statement.label}: "):
            words = words.removeprefix(start)
        found.setdefault(words, []).append(statement.label)
    return found


def _words(text: str) -> str:
    return " ".join(word for word in _WORDS.findall(text) if not word.startswith("#"))


def written_changes(
    first: m.RuleSet, second: m.RuleSet, told: Iterable[Change], pairs: Mapping[str, str]
) -> list[Change]:
    """What no told change covers. `pairs`: by its label in the second rule set, the statement of the first that is the
    same one."""
    covered = frozenset[tuple[str, str]]().union(*(change.covers for change in told))
    return [*_uses(first, second), *_Written(first, second, covered, pairs).changes()]


def _uses(first: m.RuleSet, second: m.RuleSet) -> Iterable[Change]:
    """The files that both use, by name and version; what they say is compared statement by statement."""
    own = {(rules.origin.kind, rules.origin.name) for rules in (first, second)}
    mine, theirs = (
        {(o.kind, o.name): o.version for o in rules.origins if (o.kind, o.name) not in own} for rules in (first, second)
    )
    for kind, name in dict.fromkeys((*mine, *theirs)):
        was, now = mine.get((kind, name)), theirs.get((kind, name))
        if was != now:
            said = "is no longer used" if now is None else "is used, which it was not"
            if was is not None and now is not None:
                said = f"is used in version {now} instead of {was}"
            yield _change(f'{kind} "{name}" {said}', name)


def _change(text: str, subject: str) -> Change:
    return Change("written", subject, Direction.OTHER, text, text)


class _Written:
    def __init__(
        self, first: m.RuleSet, second: m.RuleSet, covered: frozenset[tuple[str, str]], pairs: Mapping[str, str]
    ) -> None:
        self.sides = (first, second)
        self.covered = covered
        self.pairs = pairs
        self.moved = labels_moved(first, second)

    def changes(self) -> list[Change]:
        raws = [_raws(rules) for rules in self.sides]
        counts = [Counter(raw.words for raw in side) for side in raws]
        differing = tuple(_beyond(raws[i], counts[1 - i], lambda raw: raw.words) for i in (0, 1))
        units = [self._units(side, differing[side]) for side in (0, 1)]
        same = Counter(unit.canonical for unit in units[0]) & Counter(unit.canonical for unit in units[1])
        gone, come = (_beyond(side, same, lambda unit: unit.canonical) for side in units)
        found = self._told(gone, come)
        return [*found, *self._order(raws, differing, units, same)]

    # ---- which statements

    def _units(self, side: int, raws: list[_Raw]) -> list[_Unit]:
        rules = self.sides[side]
        labels = {
            (statement.span.source.path, statement.span.start): statement.label for statement in _statements(rules)
        }
        found = []
        for raw in raws:
            for node in parse(Source(raw.file, raw.text))[0].statements:
                label = labels.get((raw.file, raw.start))
                if label is not None and side:
                    label = self.pairs.get(label, self.moved.get(label, label))
                plain = self._plain(node, side)
                said = " ".join(format_statement(plain).split())
                found.append(_Unit(_key(node, label, raw), plain, said))
        return found

    def _plain(self, node: t.Statement, side: int) -> t.Statement:
        """A statement without its label, and with the labels of the first side where it names others."""

        def word(node: t.WordNode) -> t.WordNode:
            return replace(node, text=self.moved.get(node.text, node.text)) if side else node

        match node:
            case t.Labelled():
                return replace(node, label=None)
            case t.Replace():
                return replace(node, label=word(node.label))
            case t.Drop() | t.Accept():
                return replace(node, target=word(node.target))
            case t.LampStatement():
                shows = tuple((word_node if level else word(word_node), level) for word_node, level in node.shows)
                return replace(node, shows=shows)
        return node

    # ---- what is said of them

    def _told(self, gone: list[_Unit], come: list[_Unit]) -> list[Change]:
        by_key: dict[str, list[_Unit]] = {}
        for unit in gone:
            by_key.setdefault(unit.key, []).append(unit)
        lines: list[tuple[str, str]] = []
        for now in come:
            like = by_key.get(now.key)
            was = like.pop(0) if like else None
            if not all(self._is_covered(now.key, part) for part in _differing(was, now)):
                end = "" if was is None else f"; it was: {was.canonical}"
                lines.append((now.key, f"{'now' if was is None else 'written otherwise'}: {now.canonical}{end}"))
        left = {id(unit) for some in by_key.values() for unit in some}
        lines += [
            (unit.key, f"no longer: {unit.canonical}")
            for unit in gone
            if id(unit) in left and not all(self._is_covered(unit.key, part) for part in _differing(unit, None))
        ]
        found = [_change(said, _subject(key)) for key, said in lines[:_MOST]]
        if len(lines) > _MOST:
            names = ", ".join(_subject(key) for key, _ in lines[_MOST:])
            found.append(_change(f"{len(lines) - _MOST} more statements are written otherwise: {names}", "statements"))
        return found

    def _is_covered(self, key: str, part: str) -> bool:
        return (key, part) in self.covered or (key, ALL) in self.covered

    def _order(
        self,
        raws: list[list[_Raw]],
        differing: tuple[list[_Raw], ...],
        units: list[list[_Unit]],
        same: Counter[str],
    ) -> list[Change]:
        """What both say, in another order. That of gauges among themselves may be told by itself."""
        left_out = {"gauge"} if self._is_covered("gauges", "order") else set()
        orders = []
        for side in (0, 1):
            said = {id(raw): unit.canonical for raw, unit in zip(differing[side], units[side], strict=False)}
            lines = [said.get(id(raw), raw.words) for raw in raws[side] if raw.kind not in left_out]
            orders.append([line for line in lines if line not in said.values() or line in same])
        common = Counter(orders[0]) & Counter(orders[1])
        first, second = ([line for line in order if line in common] for order in orders)
        if first == second or Counter(first) != Counter(second):
            return []
        place = next(i for i, line in enumerate(first) if line != second[i])
        return [_change(f"statements stand in another order, from this one on: {second[place]}", "order")]


def _raws(rules: m.RuleSet) -> list[_Raw]:
    """Every statement of every file, those of a file once."""
    found = []
    for origin in {one.path: one for one in rules.origins}.values():
        source = Source(origin.path, origin.text)
        for piece in split(source)[0]:
            text = origin.text[piece.start : piece.end]
            words = _words(text)
            kind = words.split(" ", 1)[0]
            # No statement but a header starts with these words.
            if kind not in {"rules", "profile", "use"}:
                found.append(_Raw(origin.path, kind, piece.start, words, text))
    return found


def _beyond(statements: Iterable[_T], other: Counter[str], said: Callable[[_T], str]) -> list[_T]:
    """Statements that the other side does not say in these very words, as often."""
    left = Counter(other)
    found = []
    for statement in statements:
        if left[said(statement)]:
            left[said(statement)] -= 1
        else:
            found.append(statement)
    return found


def _key(node: t.Statement, label: str | None, raw: _Raw) -> str:
    """Which statement it is: by the name it gives, the label it has, or what it is on."""
    match node:
        case t.Labelled() | t.Replace():
            return label_key(label) if label is not None else f"replaced {raw.words}"
        case (
            t.QuantityStatement()
            | t.SwitchStatement()
            | t.ConditionStatement()
            | t.GaugeStatement()
            | t.InputStatement()
        ):
            return f"{type(node).__name__.removesuffix('Statement').lower()} {node.name.text}"
        case t.Let() | t.Curve():
            return f"let {node.name.text}"
        case t.SourceDeclaration():
            return f"source {node.name.text}"
        case t.Accept():
            return f"accept {node.check.text} on {node.target.text}"
        case t.LampStatement():
            return f"lamp {node.text.text}"
        case t.FollowStatement():
            return f"follow {node.rule.text}"
        case t.WeightsStatement():
            return "weights"
        case t.Drop():
            return f"drop {node.target.text}"
    return type(node).__name__.lower()


def _subject(key: str) -> str:
    return key.removeprefix("label ")


def _differing(unit: _Unit | None, other: _Unit | None) -> list[str]:
    """The parts in which two statements differ; of one that has no counterpart what it does."""
    if unit is None or other is None:
        node = (unit or other).node  # type: ignore[union-attr]
        rule = node.rule if isinstance(node, t.Labelled | t.Replace) else None
        return [WHAT] if isinstance(rule, t.BandStatement | t.AlertStatement) else [ALL]
    return sorted(set(_parts(unit.node, other.node)))


def _parts(one: Any, other: Any) -> Iterable[str]:
    if type(one) is not type(other) or not is_dataclass(one):
        yield ALL
        return
    for field in fields(one):
        mine, theirs = getattr(one, field.name), getattr(other, field.name)
        if not field.compare or mine == theirs:
            continue
        inside = isinstance(mine, t.BandStatement | t.AlertStatement | t.Tail | t.AlertClause)
        if field.name in {"rule", "tail", "alert"} and inside and type(mine) is type(theirs):
            yield from _parts(mine, theirs)
        elif field.name == "alert":
            yield WHAT
        elif isinstance(one, t.BandStatement | t.AlertStatement | t.Tail | t.AlertClause):
            yield _PARTS.get(field.name, field.name)
        else:
            yield field.name
