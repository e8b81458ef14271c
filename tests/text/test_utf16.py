"""Columns in UTF-16 code units, against Python's own encoder."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from alertlang.text.source import Source, Span
from alertlang.text.utf16 import Utf16Place, place

# Letters of one, two, three and four bytes, one that joins its neighbour, and the line end.
TEXTS = st.text(alphabet="a é漢😀\u0301\n", max_size=30)


def cut(line: str, start: int, end: int) -> str:
    return line.encode("utf-16-le")[2 * (start - 1) : 2 * (end - 1)].decode("utf-16-le")


def test_a_letter_outside_the_basic_plane_counts_twice() -> None:
    source = Source("a.alert", "x\n😀é y")
    assert place(Span(source, 5, 6)) == Utf16Place(2, 5, 2, 6)


@given(TEXTS, st.data())
def test_the_place_cuts_out_the_text(text: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(text)))
    span = Span(Source("a.alert", text), start, data.draw(st.integers(start, len(text))))
    found = place(span)
    lines = text.split("\n")
    if found.line == found.end_line:
        assert cut(lines[found.line - 1], found.column, found.end_column) == span.text
    else:
        last = lines[found.end_line - 1]
        assert span.text.endswith("\n" + cut(last, 1, found.end_column))
        assert span.text.startswith(cut(lines[found.line - 1], found.column, 10_000) + "\n")
