"""The card of rules whose numbers the display cannot hold: it agrees with the sheet, and names what can be set."""

from __future__ import annotations

from dataclasses import replace

import pytest

from alertlang.api import loads
from alertlang.groundtest.card import Card, card
from alertlang.groundtest.table import as_csv
from alertlang.keying.as_keyed import as_keyed
from alertlang.keying.lines import sheet_of
from alertlang.keying.rebuild import rebuilt
from alertlang.model import ruleset as m
from tests.groundtest.cards_by_hand import lines_of, not_as_expected

RULES = """rules "round" version 1
quantity cht[2] "Head temperature" from -40 to 600 F, step 1 F
quantity fuel "Fuel quantity" from 0 to 30 gal, step 0.5 gal
quantity pressure "Manifold pressure" from 10 to 35 inHg, step 0.1 inHg
quantity depth from 0 to 30 gal, step 1 gal
cht below 420 F is green
cht from 420 to 460 F is yellow with caution "CHT {n} WARM"
hot: cht above 460 F is red with warning "CHT {n} HOT"
fuel below 5 gal is yellow
fuel at least 5 gal is green
pressure at most 29.6 inHg is green
pressure above 29.6 inHg is red with warning "MAP"
depth outside 4 to 20 gal is red
depth from 4 to 20 gal is green
gauge cht labelled "HEAD {n}", drawn as bar in C to 1 C
gauge fuel labelled "FUEL QTY", drawn as bar in L to UNIT
gauge pressure labelled "MAP", drawn as bar in hPa
gauge depth, drawn as bar in L to 5 L
"""


def in_the_box(approved: m.RuleSet) -> m.RuleSet:
    """What the box does with nothing but the rounded numbers of the sheet."""
    made = sheet_of(approved, digest="")
    keyed = [
        replace(line, cells={k: v for k, v in line.cells.items() if not k.startswith("exact")}) for line in made.lines
    ]
    return loads(rebuilt(made.name, made.version, keyed)[0]).model


@pytest.mark.parametrize("unit", ["1 L", "0.25 L"])
def test_a_box_that_holds_the_sheet_does_what_the_card_says(unit: str) -> None:
    approved = loads(RULES.replace("UNIT", unit)).model
    text = as_csv(card(approved))
    assert [(line, done) for line, done in not_as_expected(in_the_box(approved), text)] == []
    # With the exact numbers it would not be so: the edges of the two are apart.
    assert list(not_as_expected(approved, text))


def test_what_is_set_can_be_set() -> None:
    text = as_csv(card(loads(RULES.replace("UNIT", "1 L")).model))
    for line in lines_of(text):
        for part in line.stimulus.split("; "):
            assert "/" not in part
            name, _, value = part.partition(" = ")
            unit = {"cht": "C", "fuel": "L", "pressure": "hPa", "depth": "L"}[name.split("[")[0]]
            assert value == "disconnected" or value.endswith(f" {unit}"), part


def test_the_labels_of_the_panel_are_told(made: Card) -> None:
    names = dict(made.names)
    assert names["cht[2]"] == 'Head temperature in C, on the panel "HEAD 2"'
    assert names["fuel"] == 'Fuel quantity in L, on the panel "FUEL QTY"'
    assert names["depth"] == "depth in L"


@pytest.fixture(scope="module")
def made() -> Card:
    return card(loads(RULES.replace("UNIT", "1 L")).model)


def test_rules_that_fit_the_display_are_left_alone() -> None:
    ruleset = loads(RULES.split("gauge")[0]).model
    assert as_keyed(ruleset) is ruleset
