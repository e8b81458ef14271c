"""The files of the project: those that ship are in their canonical form, all read the same when they are put in it.

Source: the files themselves.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from alertlang.format.files import Formatted, format_file
from alertlang.format.text import format_text
from alertlang.syntax.parse import parse
from alertlang.text.resources import examples_dir, profiles_dir
from alertlang.text.source import Source
from tests.syntax.test_corpus import CORPUS
from tests.test_language_reference import BLOCKS, Block

_ENDINGS = {".alert", ".profile", ".display"}
SHIPPED = sorted(p for top in (examples_dir(), profiles_dir()) for p in top.rglob("*") if p.suffix in _ENDINGS)
# Blocks that show a mistake of the grammar have no tree.
READ = [block for block in BLOCKS if not parse(Source("x", block.code))[1]]


def test_there_are_files_to_look_at() -> None:
    assert len(SHIPPED) >= 10
    assert len(READ) >= len(BLOCKS) // 2


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_file_is_in_its_canonical_form(path: Path) -> None:
    result = format_file(path, path.name)
    assert isinstance(result, Formatted)
    assert result.after.decode("utf-8") == result.before.decode("utf-8")


@pytest.mark.alike
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_file_without_its_line_breaks_reads_the_same(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    _reads_the_same("\n".join(line if line.startswith(("#", " ")) else line + " " for line in text.split("\n")))
    # Continued lines that hold no comment, joined.
    _reads_the_same(text.replace(",\n  ", ", ").replace("\n  and ", " and "))


@pytest.mark.parametrize("block", READ, ids=str)
def test_example_of_the_language_reference(block: Block) -> None:
    _reads_the_same(block.code)


def test_corpus_as_a_whole() -> None:
    _reads_the_same(CORPUS.read_text(encoding="utf-8"))


def _reads_the_same(text: str) -> None:
    before, findings = parse(Source("x", text))
    assert findings == []
    once = format_text(Source("x", text))
    assert isinstance(once, str)
    after, findings = parse(Source("x", once))
    assert findings == []
    assert after.statements == before.statements
    assert [c.text.rstrip() for c in after.comments] == [c.text.rstrip() for c in before.comments]
    assert format_text(Source("x", once)) == once
