"""A few of what `python -m tests.hostile` draws; many under `make fuzz`, afresh."""

from __future__ import annotations

import random
from typing import get_args

import pytest

from alertlang.syntax.parse import parse
from alertlang.syntax.tree import Statement
from alertlang.text.source import Source
from tests.hostile import all_of, begun, changed, changed_softly, texts


def test_changed_files_end_in_a_result_or_a_message(seed: int, request: pytest.FixtureRequest) -> None:
    count = 2_000 if request.config.getoption("--all-examples") else 60
    found = list(all_of(count, f"t{seed}", 1))
    assert [(one.number, one.kind, one.words, one.fault) for one in found if one.fault] == []
    assert len(found) == count
    assert 10 < sum(one.read for one in found) < count, "some get past reading, and some do not"


def test_small_files_hold_every_kind_of_statement() -> None:
    files = [text for kind in ("rules", "profile", "display") for text in texts(kind)[0]]
    read = [parse(Source("x.alert", text))[0] for text in files]
    found = {type(statement) for file in read for statement in file.statements}
    assert found >= set(get_args(Statement))
    assert max(map(len, files)) < 1_000


@pytest.mark.parametrize("kind", ["rules", "profile", "display", "scenario", "map"])
def test_what_is_changed_is_another_text(kind: str) -> None:
    chance = random.Random(7)
    text = begun(kind, chance)
    assert len({changed(text, kind, chance) for _ in range(40)}) > 15
    assert changed_softly(text, chance)
