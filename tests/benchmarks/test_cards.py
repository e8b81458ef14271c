"""The ground-test card of 600 bands over 60 quantities: wanted under 20 s; nothing is asserted of a time."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from alertlang.api import loads
from alertlang.groundtest.card import card
from tests.benchmarks.synthetic import synthetic


@pytest.mark.parametrize("timed", [False, True], ids=["plain", "a third of the bands timed"])
@pytest.mark.benchmark(group="the card of 600 bands over 60 quantities")
def test_the_card(timed: bool, benchmark: BenchmarkFixture, say: Callable[[str], None]) -> None:
    bands, quantities = (60, 10) if benchmark.disabled else (600, 60)
    ruleset = loads(synthetic(bands, quantities, timed=timed).text).model
    made = benchmark.pedantic(lambda: card(ruleset), rounds=1, iterations=1)
    # Every band has two edges, most of which show.
    assert made.shown > 2 * bands
    if benchmark.stats is not None:
        kind = "a third timed" if timed else "plain"
        took = benchmark.stats.stats.median
        what = f"{len(made.steps)} steps, {made.shown} things shown"
        say(f"{bands} bands, {kind}: {what}, {took:.1f} s (wanted: under 20 s)")
