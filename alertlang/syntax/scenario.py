"""A scenario's text to its tree, statement by statement, as a file of rules is read."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import lru_cache

from lark.tree import Meta
from lark.visitors import v_args

from alertlang.findings.finding import Finding, finding
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.syntax.explain import explain
from alertlang.syntax.parse import Slip, StatementReader, read_statements, reserved_words, slips
from alertlang.syntax.parts import Children, Parts, every_other, node, only, text
from alertlang.syntax.split import split
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source, Span
from alertlang.units.number import parse_number

_OTHER_FILE = re.compile(r"(rules|profile|display)\b")
_A_FILE_OF = {"rules": "a file of rules", "profile": "a profile", "display": "a display"}


@v_args(meta=True)
class _Builder(Parts):
    """Builds the statements of one scenario."""

    statement = only(0)
    sample = node(st.SampleEvery, 2)

    def at(self, meta: Meta, c: Children) -> st.AtStatement:
        parts = [one for part in c if isinstance(part, tuple) for one in part]
        expectations = tuple(one for one in parts if isinstance(one, st.Expectation))
        inputs = tuple(one for one in parts if not isinstance(one, st.Expectation))
        return st.AtStatement(self._span(meta), c[1], inputs, expectations)

    # ---- what is read

    inputs = every_other(0)
    given = node(st.Given, 0, 1)
    lost = node(st.Lost, 0)
    turned = node(st.Turned, 0, 1)
    turned_as_in_rules = node(st.Turned, 0, 2)
    position = only(0)
    pressed = node(st.Pressed)

    def ramp(self, meta: Meta, c: Children) -> st.RampNode:
        return st.RampNode(self._span(meta), c[0], None, c[2], c[4])

    def ramp_from(self, meta: Meta, c: Children) -> st.RampNode:
        return st.RampNode(self._span(meta), c[0], *self._in_one_unit(c[1], c[3]), c[5])

    # ---- what must be shown

    expectations = every_other(0)
    expectation = node(st.Expectation, 0, 2, 4)
    quiet = node(st.Quiet)

    def shows(self, meta: Meta, c: Children) -> st.Shows:
        return st.Shows(self._span(meta), c[0], c[1].text)

    def shows_nothing(self, meta: Meta, c: Children) -> st.Shows:
        return st.Shows(self._span(meta), c[0], None)

    def up(self, meta: Meta, c: Children) -> st.Alerts:
        return st.Alerts(self._span(meta), c[-2].text, self._word(c[-1]), len(c) == 2)

    def holds(self, meta: Meta, c: Children) -> st.Holds:
        return st.Holds(self._span(meta), c[-1], len(c) == 1)

    not_up = up
    does_not_hold = holds

    def lamp_is(self, meta: Meta, c: Children) -> st.LampIs:
        return st.LampIs(self._span(meta), self._word(c[1]), c[2])

    light = text

    def seen(self, meta: Meta, c: Children) -> t.SubjectNode:
        return self.subject(meta, c)

    # ---- small parts

    def one(self, meta: Meta, c: Children) -> st.PlaceNode:
        return st.PlaceNode(self._span(meta), c[-1], len(c) > 1)

    each = one

    def duration(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), c[0].number, self._word(c[1]))

    def fraction(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])) / int(c[2]), None)

    def negative_fraction(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), -parse_number(str(c[1])) / int(c[3]), None)


@lru_cache(maxsize=1)
def _reader() -> StatementReader:
    # What cannot be a name in the rules cannot be one here, and nothing more.
    return StatementReader("scenario.lark", _Builder(), reserved_words())


@lru_cache(maxsize=1)
def _catalogue() -> dict[Slip, tuple[str, str]]:
    return slips(_reader(), scenario_mistakes())


@lru_cache(maxsize=1)
def scenario_mistakes() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """The catalogue of common slips: what to say, the way out, and examples."""
    data = tomllib.loads((grammar_dir() / "scenario-mistakes.toml").read_text(encoding="utf-8"))
    return tuple((m["message"], m["way_out"], tuple(m["examples"])) for m in data["mistake"])


def parse_scenario(source: Source) -> tuple[st.ScenarioFile, list[Finding]]:
    """The tree of a text and every mistake in it, in order. A statement that is broken is left out of the tree."""
    pieces, comments, strays = split(source)
    if pieces and (other := _OTHER_FILE.match(source.text, pieces[0].start, pieces[0].end)):
        # Not one message for every statement of it.
        span = Span(source, pieces[0].start, pieces[0].end)
        return st.ScenarioFile(source, (), tuple(comments), (span,)), [_another_file(other[1], span)]
    strays = [(piece, _arrow(found)) for piece, found in strays]
    statements, broken, findings = read_statements(
        _reader(), source, pieces, strays, lambda statement: explain(statement, _catalogue().get(statement.slip))
    )
    return st.ScenarioFile(source, statements, tuple(comments), broken), findings


def _arrow(stray: Finding) -> Finding:
    """Where a sign stands that regions do not have either, an arrow was meant: a scenario has no regions."""
    if stray.where is None or stray.where.text not in {"<", ">", "\u2192"}:
        return stray
    return replace(stray, advice=("write -> before what must be shown",))


def _another_file(kind: str, span: Span) -> Finding:
    return finding(
        "wrong-kind",
        f"this is {_A_FILE_OF[kind]}, and a scenario must stand here",
        span,
        advice=("give the rules with --rules, and name the scenarios that are to be run with them",)
        if kind == "rules"
        else ('name a file whose first line is, for example: scenario "cold-start" version 1',),
    )
