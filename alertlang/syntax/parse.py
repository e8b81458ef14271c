"""Text to tree, statement by statement, so that one mistake never hides the next."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Any

from lark import Lark, Token
from lark.exceptions import UnexpectedInput, UnexpectedToken, VisitError
from lark.utils import TextSlice

from alertlang.findings.finding import Finding, finding
from alertlang.syntax import display, unlabelled
from alertlang.syntax import tree as t
from alertlang.syntax.build import Builder
from alertlang.syntax.explain import BrokenStatement, explain, mistakes
from alertlang.syntax.limits import long_number, too_deep, too_many
from alertlang.syntax.lost import names_lost
from alertlang.syntax.parts import Parts
from alertlang.syntax.split import StatementText, split
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source, Span
from alertlang.units.unit import find_unit

_COLOURS = frozenset({"red", "yellow", "amber", "green", "white", "blue", "unmarked"})
_LEVELS = frozenset({"warning", "caution", "advisory"})
_WORD = re.compile(r'[A-Za-z_][A-Za-z0-9_]*|[0-9]+(?:\.[0-9]+)?|"[^"\n]*"|->|.', re.DOTALL)

# The header of a scenario, which has a grammar of its own.
_SCENARIO = re.compile(r'scenario\s+"')

NO_POSITIONS = frozenset({"then", "and", "or", "not", "until", "unless"})
"""Words that carry a formula on, so that as the position of a switch they would be read wrongly."""

Slip = tuple[frozenset[str], str, str, bool]
"""Where and how a statement breaks: what could have stood there, the kind of word that did, and of the one before."""


class Reserve:
    """Between lexer and parser: a word of the language must not pass for a name or a unit."""

    always_accept = ()

    def __init__(self) -> None:
        self.reserved: frozenset[str] = frozenset()
        self.tokens: list[Token] = []

    def process(self, stream: Iterator[Token]) -> Iterator[Token]:
        for token in stream:
            if token.type in {"NAME", "UNIT"} and token.value in self.reserved:
                yield Token.new_borrow_pos("RESERVED", token.value, token)
                continue
            self.tokens.append(token)
            yield token


class StatementReader:
    """The grammar, compiled once a process."""

    def __init__(self, grammar: str, builder: Parts, reserved: frozenset[str] | None = None) -> None:
        """`reserved`: the words that cannot be names; none given: those of the grammar."""
        self.builder = builder
        self.reserve = Reserve()
        self.lark = Lark(
            (grammar_dir() / grammar).read_text(encoding="utf-8"),
            start="statement",
            parser="lalr",
            lexer="contextual",
            postlex=self.reserve,
            propagate_positions=True,
            maybe_placeholders=True,
        )
        self.keywords: dict[str, str] = {
            terminal.name: terminal.pattern.value
            for terminal in self.lark.terminals
            if terminal.pattern.type == "str" and terminal.pattern.value.isalpha()
        }
        # The first words of the terminals that are several words.
        more = {"for", "at", "in", "except", "set", "respond", "cleared"}
        self.reserved = frozenset(self.keywords.values()) | more if reserved is None else reserved
        self.reserve.reserved = self.reserved

    def statement(self, source: Source, start: int, end: int) -> Any:
        """The tree of one statement, or how it broke, or (for a number or nesting beyond all measure) the finding."""
        self.builder.source = source
        tokens = self.reserve.tokens
        tokens.clear()
        try:
            parsed = self.lark.parse(TextSlice(source.text, start, end))
        except UnexpectedInput as problem:
            return self._broken(problem, source, start, end)
        try:
            result = self.builder.transform(parsed)
        except VisitError:
            too_long = long_number(source, tokens)
            if too_long is None:
                raise
            return too_long
        return too_deep(result) or result

    def _broken(self, problem: UnexpectedInput, source: Source, start: int, end: int) -> BrokenStatement:
        place = end
        if not isinstance(problem, UnexpectedToken):
            place = problem.pos_in_stream or start
        elif problem.token.type != "$END":
            assert problem.token.start_pos is not None
            place = problem.token.start_pos
        # What broke the statement is named by its text: which terminal the lexer took it for is chance.
        found = _WORD.match(source.text, place, end)
        word = found.group() if found else ""
        before = [token for token in self.reserve.tokens if token.start_pos is not None and token.start_pos < place]
        last = before[-1] if before else None
        adjacent = _adjacent(last, source, place)
        return BrokenStatement(
            span=Span(source, place, place + len(word)),
            kind=self._kind(word),
            after=self._after(last),
            # Lark leaves this one method without types.
            accepts=frozenset(problem.interactive_parser.accepts()),  # type: ignore[no-untyped-call]
            statement=Span(source, start, end),
            previous=adjacent if last is not None and last.type == "NAME" else None,
            bad_unit=adjacent if last is not None and last.type == "UNIT" and find_unit(last.value) is None else None,
            no_position=adjacent if self._passed_for_position(before) else None,
            keywords=self.keywords,
            reserved=self.reserved,
        )

    def _kind(self, word: str) -> str:
        if not word:
            return "$END"
        if word in _COLOURS:
            return "COLOUR"
        if word in _LEVELS:
            return "LEVEL"
        if word in self.reserved:
            return word
        if word[0] == '"' and len(word) > 1:
            return "TEXT"
        if word[0].isdigit():
            return "DIGIT"
        return "NAME" if word[0].isalpha() else word

    @staticmethod
    def _after(last: Token | None) -> str:
        """The kind of the last word that was read."""
        if last is None:
            return ""
        for kind, members in (("COLOUR", _COLOURS), ("LEVEL", _LEVELS)):
            if last.value in members:
                return kind
        return last.type

    def _passed_for_position(self, before: list[Token]) -> bool:
        """Whether the last word, read as the position of a switch, was meant to follow one (`canopy is then ...`)."""
        if len(before) < 2 or before[-1].type != "POSITION" or before[-2].type not in {"IS", "NOT"}:
            return False
        return before[-1].value in NO_POSITIONS


def _adjacent(token: Token | None, source: Source, place: int) -> Span | None:
    """Where a word stands, if nothing but blanks is between it and a place."""
    if token is None:
        return None
    assert token.start_pos is not None
    word = Span(source, token.start_pos, token.start_pos + len(token))
    return None if source.text[word.end : place].strip() else word


@lru_cache(maxsize=1)
def _reader() -> StatementReader:
    return StatementReader("alertlang.lark", Builder())


def reserved_words() -> frozenset[str]:
    """The words that cannot be names."""
    return _reader().reserved


@lru_cache(maxsize=1)
def _catalogue() -> dict[Slip, tuple[str, str]]:
    return slips(_reader(), ((mistake.message, mistake.way_out, mistake.examples) for mistake in mistakes()))


def slips(reader: StatementReader, known: Iterable[tuple[str, str, tuple[str, ...]]]) -> dict[Slip, tuple[str, str]]:
    """Each slip of a catalogue with its message and way out."""
    found: dict[Slip, tuple[str, str]] = {}
    for message, way_out, examples in known:
        for example in examples:
            result = reader.statement(Source("", example), 0, len(example))
            if isinstance(result, BrokenStatement):
                found.setdefault(result.slip, (message, way_out))
    return found


def read_statements(
    reader: StatementReader,
    source: Source,
    pieces: Iterable[StatementText],
    strays: Iterable[tuple[StatementText, Finding]],
    explained: Callable[[BrokenStatement], Finding],
) -> tuple[tuple[Any, ...], tuple[Span, ...], list[Finding]]:
    """The statements that could be read, where the others stand, and what is wrong with these, each in order."""
    statements: list[t.Node] = []
    broken: list[tuple[StatementText, Finding]] = list(strays)
    for piece in pieces:
        result = reader.statement(source, piece.start, piece.end)
        if isinstance(result, t.Node):
            statements.append(result)
        else:
            broken.append((piece, result if isinstance(result, Finding) else explained(result)))
    lost = sorted((Span(source, piece.start, piece.end) for piece, _ in broken), key=lambda span: span.start)
    return tuple(statements), tuple(lost), sorted((found for _, found in broken), key=lambda found: found.sort_key)


def _explained(broken: BrokenStatement, of_display: bool) -> Finding:
    special = display.slip(broken) if of_display else unlabelled.slip(broken)
    return special or explain(broken, _catalogue().get(broken.slip))


def parse(source: Source) -> tuple[t.File, list[Finding]]:
    """The tree of a text and every mistake in it, in order. A statement that is broken is left out of the tree."""
    pieces, comments, strays = split(source)
    many = too_many(source, len(pieces))
    if many is not None:
        return t.File(source, (), tuple(comments), frozenset(), (Span(source, 0, len(source.text)),)), [many]
    of_display = bool(pieces) and display.is_display(source, pieces[0].start, pieces[0].end)
    if pieces and (head := _SCENARIO.match(source.text, pieces[0].start)):
        # One word for the file instead of one for each of its lines.
        where = Span(source, head.start(), head.start() + len("scenario"))
        message = "this file is a scenario, and rules, a profile or a display are asked for"
        found = finding("wrong-kind", message, where, advice=("run it with: alertlang scenarios FILE",))
        everything = Span(source, pieces[0].start, pieces[-1].end)
        return t.File(source, (), tuple(comments), frozenset(), (everything,)), [found]
    statements, lost, findings = read_statements(
        _reader(), source, pieces, strays, lambda statement: _explained(statement, of_display)
    )
    return t.File(source, statements, tuple(comments), names_lost(lost), lost), findings
