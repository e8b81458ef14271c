"""What a file comes to: exact numbers in the quantity's own unit, every name bound."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from alertlang.model import ruleset as m
from alertlang.model.load import Loaded

Rules = Callable[[str], Loaded]


def _ruleset(loaded: Loaded) -> m.RuleSet:
    assert [f.message for f in loaded.findings] == []
    assert loaded.ruleset is not None
    return loaded.ruleset


@pytest.mark.parametrize(
    ("region", "kind", "numbers"),
    [
        ("above 100 F", "above", (100,)),
        ("below 100", "below", (100,)),
        ("at most 100 C", "at_most", (212,)),
        ("at least 0.1 F", "at_least", (Fraction(1, 10),)),
        # A unit after the second number alone serves both.
        ("from 50 to 100 C", "within", (122, 212)),
        ("from 50 C to 100 C", "within", (122, 212)),
        ("outside 50 to 100 C", "outside", (122, 212)),
        ("from 50 F to 100 C", "within", (50, 212)),
        ("from 50 F to 100", "within", (50, 100)),
        ("from -40 C to -40 F", "within", (-40, -40)),
        ("above 300 K", "above", (Fraction(8033, 100),)),
    ],
)
def test_region_in_the_quantity_s_own_unit(rules: Rules, region: str, kind: str, numbers: tuple[Fraction, ...]) -> None:
    [band] = _ruleset(rules(f"oil_temp {region} is red")).bands
    assert band.region.kind == kind
    assert band.region.numbers == numbers


def test_quantity(rules: Rules) -> None:
    ruleset = _ruleset(rules("quantity q[3] from -10 to 100 F, step 5 C, accuracy 1.5 K"))
    q = ruleset.quantities["q"]
    assert (q.size, q.low, q.high, q.unit.name) == (3, Fraction(-10), Fraction(100), "F")
    # A step is a difference: no offset.
    assert (q.step, q.accuracy, q.deadband) == (Fraction(9), Fraction(27, 10), None)


def test_formula(rules: Rules) -> None:
    text = "condition c means (running and not flaps is not up) or any cht above 100 C or cht[2] below 5"
    said = _ruleset(rules(text)).conditions["c"].formula
    assert isinstance(said, m.Or)
    both, anyone, second = said.parts
    assert isinstance(both, m.And)
    assert isinstance(anyone, m.Compare)
    assert isinstance(second, m.Compare)
    assert second.quantifier is None
    assert isinstance(both.parts[0], m.ConditionIs)
    inner = both.parts[1]
    assert isinstance(inner, m.Not)
    assert isinstance(inner.part, m.SwitchIs)
    assert (inner.part.switch, inner.part.position, inner.part.negated) == ("flaps", "up", True)
    assert (anyone.quantifier, anyone.size, anyone.region.numbers) == ("any", 4, (Fraction(212),))
    assert (second.quantity, second.index, second.region.numbers) == ("cht", 2, (Fraction(5),))


def test_rules(rules: Rules) -> None:
    ruleset = _ruleset(
        rules(
            'source T "a document"\n'
            'hot: when running then rpm above 5 is amber with caution "HOT" unless canopy is open\n'
            'open: when canopy is open then advisory "OPEN"\n'
            'low: when running limit rpm at least 5 rpm, needs caution, source T "p 3"\n'
            "claim: prove when running then rpm above 5 is at least yellow\n"
            "raise: prove raises warning\n"
            'accept gap on hot because "so" until 2027-06-30\n'
        )
    )
    [band] = ruleset.bands
    assert (band.colour, band.alert, band.labelled) == (m.Colour.YELLOW, m.AlertText(m.Level.CAUTION, "HOT"), True)
    assert band.when is not None
    assert band.unless is not None
    [alert] = ruleset.alerts
    assert (alert.label, alert.alert) == ("open", m.AlertText(m.Level.ADVISORY, "OPEN"))
    low = ruleset.ranges[1]
    assert (low.kind, low.needs, low.sources[0].in_words) == ("limit", m.Level.CAUTION, "a document (p 3)")
    claim, raises = ruleset.claims
    assert (claim.kind, claim.colour, claim.level) == ("at_least", m.Colour.YELLOW, None)
    assert (raises.kind, raises.colour, raises.level, raises.quantity) == ("any_raises", None, m.Level.WARNING, None)
    [acceptance] = ruleset.acceptances
    assert (acceptance.check, acceptance.target, acceptance.until) == ("gap", "hot", "2027-06-30")
    assert [o.path for o in ruleset.origins] == ["osier.profile", "t.alert"]
    assert (ruleset.name, ruleset.version, ruleset.path) == ("t", 1, "t.alert")


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (m.DocumentSource("S", "document", "TCDS 7 (table 2)", "page 3"), "TCDS 7 (table 2) (page 3)"),
        (m.DocumentSource("S", "second hand", "a forum"), "second hand, to be checked against the document: a forum"),
        (m.DocumentSource("S", "common practice", None), "common practice, no source"),
        (m.DocumentSource("S", "common practice", "of the trade"), "common practice, no source: of the trade"),
        (m.DocumentSource("S", "from memory", "a card"), "from memory, to be confirmed: a card"),
    ],
)
def test_a_source_in_words(source: m.DocumentSource, words: str) -> None:
    assert source.in_words == words
