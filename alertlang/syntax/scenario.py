"""A scenario's text to its tree, statement by statement, as a file of rules is read."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import lru_cache
from typing import Any, cast

from lark import Lark, Token
from lark.exceptions import UnexpectedInput, VisitError
from lark.tree import Meta
from lark.utils import TextSlice
from lark.visitors import v_args

from alertlang.findings.finding import Finding, finding
from alertlang.syntax import scenario_tree as st
from alertlang.syntax import tree as t
from alertlang.syntax.explain import Broken, explain
from alertlang.syntax.limits import long_number
from alertlang.syntax.parse import Reserve, Slip, StatementReader, reserved_words
from alertlang.syntax.parts import Children, Parts
from alertlang.syntax.split import split
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source, Span
from alertlang.units.number import parse_number

_OTHER_FILE = re.compile(r"(rules|profile|display)\b")
_A_FILE_OF = {"rules": "a file of rules", "profile": "a profile", "display": "a display"}


@v_args(meta=True)
class _Builder(Parts):
    """Builds the statements of one scenario."""

    def statement(self, meta: Meta, c: Children) -> Any:
        return c[0]

    def header(self, meta: Meta, c: Children) -> t.Header:
        version = self._word(c[3])
        number = t.Value(version.span, parse_number(version.text), None)
        return t.Header(self._span(meta), "scenario", self._word(c[1]), number)

    def use(self, meta: Meta, c: Children) -> t.Use:
        return t.Use(self._span(meta), "rules", self._word(c[2]))

    def about(self, meta: Meta, c: Children) -> t.About:
        return t.About(self._span(meta), self._word(c[1]))

    def sample(self, meta: Meta, c: Children) -> st.SampleEvery:
        return st.SampleEvery(self._span(meta), c[2])

    def at(self, meta: Meta, c: Children) -> st.At:
        lists = [part for part in c if isinstance(part, tuple)]
        inputs = tuple(one for part in lists for one in part if not isinstance(one, st.Expectation))
        expectations = tuple(one for part in lists for one in part if isinstance(one, st.Expectation))
        return st.At(self._span(meta), c[1], inputs, expectations)

    # ---- what is read

    def inputs(self, meta: Meta, c: Children) -> tuple[st.Input, ...]:
        return tuple(c[::2])

    def given(self, meta: Meta, c: Children) -> st.Given:
        return st.Given(self._span(meta), c[0], c[1])

    def ramp(self, meta: Meta, c: Children) -> st.Ramp:
        return st.Ramp(self._span(meta), c[0], None, c[2], c[4])

    def ramp_from(self, meta: Meta, c: Children) -> st.Ramp:
        first, last = c[1], c[3]
        # A unit after the second number alone serves both.
        if first.unit is None:
            first = t.Value(first.span, first.number, last.unit)
        return st.Ramp(self._span(meta), c[0], first, last, c[5])

    def lost(self, meta: Meta, c: Children) -> st.Lost:
        return st.Lost(self._span(meta), c[0])

    def turned(self, meta: Meta, c: Children) -> st.Turned:
        return st.Turned(self._span(meta), c[0], c[1])

    def position(self, meta: Meta, c: Children) -> t.Word:
        return self._word(c[0])

    def pressed(self, meta: Meta, c: Children) -> st.Pressed:
        return st.Pressed(self._span(meta))

    # ---- what must be shown

    def expectations(self, meta: Meta, c: Children) -> tuple[st.Expectation, ...]:
        return tuple(c[::2])

    def expectation(self, meta: Meta, c: Children) -> st.Expectation:
        return st.Expectation(self._span(meta), c[0], c[2], c[4])

    def shows(self, meta: Meta, c: Children) -> st.Shows:
        return st.Shows(self._span(meta), c[0], c[1].text)

    def shows_nothing(self, meta: Meta, c: Children) -> st.Shows:
        return st.Shows(self._span(meta), c[0], None)

    def up(self, meta: Meta, c: Children) -> st.Alerts:
        return st.Alerts(self._span(meta), c[0].text, self._word(c[1]), True)

    def not_up(self, meta: Meta, c: Children) -> st.Alerts:
        return st.Alerts(self._span(meta), c[1].text, self._word(c[2]), False)

    def quiet(self, meta: Meta, c: Children) -> st.Quiet:
        return st.Quiet(self._span(meta))

    def holds(self, meta: Meta, c: Children) -> st.Holds:
        return st.Holds(self._span(meta), c[0], True)

    def does_not_hold(self, meta: Meta, c: Children) -> st.Holds:
        return st.Holds(self._span(meta), c[1], False)

    def lamp_is(self, meta: Meta, c: Children) -> st.LampIs:
        return st.LampIs(self._span(meta), self._word(c[1]), c[2])

    def light(self, meta: Meta, c: Children) -> str:
        return " ".join(str(word) for word in c)

    def seen(self, meta: Meta, c: Children) -> t.Subject:
        return self.subject(meta, c)

    # ---- small parts

    def one(self, meta: Meta, c: Children) -> st.Place:
        return st.Place(self._span(meta), c[0], False)

    def each(self, meta: Meta, c: Children) -> st.Place:
        return st.Place(self._span(meta), c[1], True)

    def duration(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), c[0].number, self._word(c[1]))

    def fraction(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), parse_number(str(c[0])) / int(c[2]), None)

    def negative_fraction(self, meta: Meta, c: Children) -> t.Value:
        return t.Value(self._span(meta), -parse_number(str(c[1])) / int(c[3]), None)


class _ScenarioReader(StatementReader):
    """The grammar of scenarios, compiled once a process."""

    def __init__(self) -> None:
        self._build = _Builder()
        self.reserve = Reserve()
        self.lark = Lark(
            (grammar_dir() / "scenario.lark").read_text(encoding="utf-8"),
            start="statement",
            parser="lalr",
            lexer="contextual",
            postlex=self.reserve,
            propagate_positions=True,
            maybe_placeholders=True,
        )
        self.keywords = {
            terminal.name: terminal.pattern.value
            for terminal in self.lark.terminals
            if terminal.pattern.type == "str" and terminal.pattern.value.isalpha()
        }
        # What cannot be a name in the rules cannot be one here, and nothing more.
        self.reserved = reserved_words()
        self.reserve.reserved = self.reserved

    def read(self, source: Source, start: int, end: int) -> st.Statement | Broken | Finding:
        """The tree of one statement, or how it broke, or (for a number beyond all measure) the finding."""
        self._build.source = source
        tokens: list[Token] = self.reserve.tokens
        tokens.clear()
        try:
            parsed = self.lark.parse(TextSlice(source.text, start, end))
        except UnexpectedInput as problem:
            return self._broken(problem, source, start, end)
        try:
            return cast(st.Statement, self._build.transform(parsed))
        except VisitError:
            too_long = long_number(source, tokens)
            if too_long is None:
                raise
            return too_long


@lru_cache(maxsize=1)
def _reader() -> _ScenarioReader:
    return _ScenarioReader()


@lru_cache(maxsize=1)
def _catalogue() -> dict[Slip, tuple[str, str]]:
    """Each known slip with its message and way out."""
    reader = _reader()
    found: dict[Slip, tuple[str, str]] = {}
    for message, way_out, examples in scenario_mistakes():
        for example in examples:
            result = reader.read(Source("", example), 0, len(example))
            if isinstance(result, Broken):
                found.setdefault(result.slip, (message, way_out))
    return found


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
    findings = [_arrow(one) for _, one in strays]
    broken = [Span(source, piece.start, piece.end) for piece, _ in strays]
    reader = _reader()
    statements: list[st.Statement] = []
    for piece in pieces:
        result = reader.read(source, piece.start, piece.end)
        if isinstance(result, t.Node):
            statements.append(result)
            continue
        broken.append(Span(source, piece.start, piece.end))
        findings.append(result if isinstance(result, Finding) else explain(result, _catalogue().get(result.slip)))
    findings.sort(key=lambda f: f.sort_key)
    broken.sort(key=lambda span: span.start)
    return st.ScenarioFile(source, tuple(statements), tuple(comments), tuple(broken)), findings


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
