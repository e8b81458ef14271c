"""The ground-test card of 600 bands over 60 quantities: wanted under 20 s; nothing is asserted of a time."""

from __future__ import annotations

import time

from alertlang.api import loads
from alertlang.documents.cards.card import card
from tests.benchmarks.synthetic import synthetic


def test_the_card_of_600_bands() -> None:
    ruleset = loads(synthetic(600, 60).text).model
    start = time.perf_counter()
    made = card(ruleset)
    took = time.perf_counter() - start
    print(f"\n600 bands: {len(made.steps)} steps, {made.shown} things shown, {took:.1f} s (wanted: under 20 s)")
    assert made.shown > 1200
