"""Statements with comments put into them, and where among the words of a statement its comments stand."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from hypothesis import strategies as st
from lark import Lark, Token

from alertlang.syntax.parse import parse
from alertlang.text.resources import grammar_dir
from alertlang.text.source import Source

# What a comment may go round: signs, numbers and their units, and `then`, which may be left out after a `when`.
_NO_WORDS = frozenset(
    {"NUMBER", "UNIT", "THEN", "COMMA", "COLON", "LPAR", "RPAR", "LSQB", "RSQB", "MINUS", "PLUS", "TIMES", "OVER_SIGN"}
)
_COMMENTS = st.text(st.characters(exclude_characters="\n\r", exclude_categories=("Cc", "Cs")), max_size=6).map(
    lambda text: "#" + text
)
_GAPS = st.one_of(
    st.just(""),
    st.sampled_from([" ", "\n  ", "\n\n    "]),
    _COMMENTS.map(lambda text: f"  {text}\n "),
    _COMMENTS.map(lambda text: f"\n{text}\n  "),
    st.lists(_COMMENTS, min_size=1, max_size=2).map(lambda several: "".join(f"\n   {one}\n" for one in several) + " "),
    st.tuples(_COMMENTS, _COMMENTS).map(lambda two: f" {two[0]}\n\n\n  {two[1]}\n  "),
)


@lru_cache(maxsize=1)
def _grammar() -> Lark:
    return Lark((grammar_dir() / "alertlang.lark").read_text("utf-8"), start="statement", parser="lalr")


def tokens_of(statement: str) -> list[Token]:
    """The tokens of one statement, as the grammar sees them."""
    return list(_grammar().parse(statement).scan_values(lambda value: isinstance(value, Token)))


@st.composite
def with_comments(draw: st.DrawFn, text: str, *, few: bool = False) -> str:
    """A statement with comments, blanks and line ends between its tokens, and perhaps a comment after it.

    `few`: in one place of eight or so, otherwise in most.
    """
    tokens = tokens_of(text)
    # An empty comment inside a statement with an arrow is taken for a stray character as yet.
    gaps_in_most = gaps = (
        _GAPS.filter(lambda gap: not re.search(r"#\s*$", gap, re.MULTILINE)) if "->" in text else _GAPS
    )
    if few:
        gaps = st.integers(0, 7).flatmap(lambda number: gaps_in_most if number == 7 else st.just(""))
    parts = [tokens[0].value]
    for before, token in pairwise(tokens):
        assert before.end_pos is not None
        parts.append(text[before.end_pos : token.start_pos])
        parts.append(draw(gaps))
        parts.append(token.value)
    after = draw(st.just("") | _COMMENTS.map(lambda text: f" {text}"))
    return "".join(parts) + after


def words_and_comments(statement: str) -> list[str]:
    """The words of a statement and its comments, as they come."""
    source = Source("x", statement)
    comments = [(c.span.start, c.text.rstrip()) for c in parse(source)[0].comments]
    words = [(token.start_pos, _shown(token)) for token in tokens_of(statement) if token.type not in _NO_WORDS]
    return [text for _, text in sorted([*comments, *words])]


def _shown(token: Token) -> str:
    text = " ".join(token.value.split())
    if token.type == "LABEL":
        return text.replace(" ", "")
    return {"AMBER": "yellow", "AT_MOST": "at most", "AT_LEAST": "at least"}.get(token.type, text)
