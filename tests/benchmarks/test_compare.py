"""How long comparing takes: nothing differs, one threshold, several, or a context that most gauges share."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

import alertlang
from alertlang import api
from tests.benchmarks.synthetic import synthetic

CHANGES = {
    "nothing": ("", ""),
    "one threshold": ("q20_top: q20 above 906", "q20_top: q20 above 910"),
    "one threshold of every seventh gauge": ("above 901 is red", "above 905 is red"),
    "a shared context": ("oil_temp below 150", "oil_temp below 155"),
}


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.benchmark(group="compare 600 bands over 60 quantities")
def test_compare(name: str, benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    text = synthetic(600, 60).text
    old, new = CHANGES[name]
    assert old in text
    first, second = alertlang.loads(text), alertlang.loads(text.replace(old, new))
    found = benchmark.pedantic(lambda: api.compare(first, second), rounds=1, iterations=1)
    assert found.same is (name == "nothing")
    if benchmark.stats is not None:
        took = f"{benchmark.stats.stats.median:.2f} s, {found.questions} questions, {len(found.changes)} changes"
        say(f"{name}: {took} (wanted: under 5 s)")
