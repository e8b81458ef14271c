"""What only a reading that moves can show: ramps on the ground-test card, done by hand, and by somebody not exact."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import pytest
from pypdf import PdfReader

from alertlang.api import load, loads
from alertlang.documents.card import as_html, as_pdf
from alertlang.groundtest.card import Card, CardStep, card
from alertlang.groundtest.running import MARGIN
from alertlang.groundtest.table import as_csv, results
from alertlang.model import ruleset as m
from tests.groundtest.cards_by_hand import not_as_expected
from tests.groundtest.test_cards import as_text, filled
from tests.groundtest.test_cards_mutation import mutants

BRAMBLE = Path(__file__).parents[2] / "examples" / "02-bramble" / "bramble.alert"
# As written, and a tenth quicker and slower.
PACES = (Fraction(1), Fraction(10, 9), Fraction(10, 11))

HEAD = """rules "moving" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source NOTE
quantity oil_temp "Oil" from 0 to 300 F, step 1 F, source NOTE
rpm at most 3500 rpm is green
oil_temp below 240 F is green
oil_temp at least 240 F is red with warning "OIL HOT"
let oil_heating = rise of oil_temp per min, from -100 to 100 F
"""


@pytest.fixture(scope="module")
def bramble() -> tuple[m.RuleSet, Card]:
    ruleset = load(BRAMBLE).model
    return ruleset, card(ruleset)


def made(rules: str) -> tuple[m.RuleSet, Card]:
    ruleset = loads(HEAD + rules).model
    return ruleset, card(ruleset)


def moving(one: Card) -> list[CardStep]:
    return [step for step in one.steps if step.moves]


def check(ruleset: m.RuleSet, one: Card) -> None:
    for pace in PACES:
        assert list(not_as_expected(ruleset, as_csv(one), pace)) == []


def seen(step: CardStep, item: str) -> list[tuple[float, bool, str]]:
    return [(float(one.after), one.early, one.seen) for one in step.expected if one.item == item]


def test_everything_of_the_bramble_is_shown(bramble: tuple[m.RuleSet, Card]) -> None:
    ruleset, one = bramble
    assert one.open == ()
    # As it is written it is done with all other cards.
    for pace in PACES[1:]:
        assert list(not_as_expected(ruleset, as_csv(one), pace)) == []


def test_a_ramp_is_seen_before_its_delay_after_it_and_at_rest(bramble: tuple[m.RuleSet, Card]) -> None:
    _, one = bramble
    step = moving(one)[0]
    assert step.changes == ("cht[1]: from 310 F down to 290 F, evenly, in 20 s",)
    assert one.steps[step.number - 2].settings["cht[1]"] == 310
    # For more than 5 s: not yet after 4.5 s, there after 6 s, whoever moves it.
    alert = "alert COOLING FAST (advisory)"
    assert seen(step, alert) == [(4.5, True, "not up"), (6.0, False, "up")]
    after = one.steps[step.number]
    assert (after.changes, seen(after, alert)) == (("change nothing",), [(0.5, False, "not up")])


def test_a_ramp_on_the_calm_side_brings_nothing(bramble: tuple[m.RuleSet, Card]) -> None:
    _, one = bramble
    calm = [step for step in moving(one) if any("clearly outside" in why for why in step.shows)]
    assert len(calm) == 4
    for step in calm:
        assert "COOLING FAST" not in seen(step, "all alerts")[0][2]


def test_no_ramp_leaves_its_band_and_each_is_looked_at_while_it_moves(bramble: tuple[m.RuleSet, Card]) -> None:
    _, one = bramble
    for step in moving(one):
        name, rest = step.changes[0].split(": from ")
        assert len(seen(step, f"gauge {name}")) == 1
        seconds = Fraction(rest.split(" in ")[1].removesuffix(" s"))
        assert max(line.after for line in step.expected) + MARGIN <= seconds * 9 / 10
        assert step.hold > seconds * 11 / 10


def test_every_change_of_what_a_ramp_shows_fails_a_line(bramble: tuple[m.RuleSet, Card]) -> None:
    ruleset, one = bramble
    changed = [(what, mutant) for what, mutant in mutants(ruleset) if what.startswith("cht_fast: ")]
    assert {what.removeprefix("cht_fast: ") for what, _ in changed} == {
        "level",
        "alert dropped",
        "delay",
        "context negated",
        "threshold of context",
    }
    text = as_csv(one)
    assert [what for what, mutant in changed if next(not_as_expected(mutant, text), None) is None] == []


def test_bands_of_a_rise_are_shown_on_both_sides_of_each_end() -> None:
    ruleset, one = made(
        "oil_heating from 20 to 60 F is green\noil_heating below 20 F is white\n"
        'oil_heating above 60 F is red with caution "HEATING" after 3 s\n'
    )
    assert one.open == ()
    check(ruleset, one)
    shown = [why for step in moving(one) for why in step.shows]
    assert sum("clearly inside 60 F" in why for why in shown) == 2
    assert sum("clearly outside 60 F" in why for why in shown) == 2
    red = next(step for step in moving(one) if seen(step, "alert HEATING (caution)"))
    assert "up to" in red.changes[0]
    assert [word for _, early, word in seen(red, "gauge oil_heating") if not early] == ["red"]
    assert seen(red, "alert HEATING (caution)") == [(2.5, True, "not up"), (4.0, False, "up")]


def test_a_long_delay_takes_a_long_ramp() -> None:
    ruleset, one = made('when oil_heating below -10 F for more than 2 min then caution "COOLING"\n')
    assert one.open == ()
    check(ruleset, one)
    up = next(step for step in moving(one) if seen(step, "alert COOLING (caution)"))
    assert " down to " in up.changes[0]
    assert up.changes[0].endswith(", evenly, in 180 s")
    assert seen(up, "alert COOLING (caution)") == [(119.5, True, "not up"), (121.0, False, "up")]


def test_all_of_an_array_move_where_one_alone_shows_nothing() -> None:
    ruleset, one = made(
        "quantity cht[2] from 0 to 500 F, step 1 F\ncht at most 500 F is green\n"
        'let cooling = fall of cht per min, from 0 to 400 F\nwhen every cooling above 50 F then caution "BOTH"\n'
    )
    # One clearly beyond, the other one clearly not: that takes two ramps at once, and the card has none.
    assert len(one.open) == 2
    assert all("clearly outside 50 F: only a reading that moves" in line for line in one.open)
    check(ruleset, one)
    both = [step for step in moving(one) if len(step.changes) == 2]
    assert {change.split(":")[0] for step in both for change in step.changes} == {"cht[1]", "cht[2]"}
    assert any(word == "caution BOTH" for step in both for _, _, word in seen(step, "all alerts"))


def test_a_band_that_the_ramp_has_to_cross_is_said_only_where_it_is_sure() -> None:
    stripes = "".join(f"oil_temp from {10 * n} to {10 * n + 5} F is yellow\n" for n in range(24))
    ruleset, one = made(stripes + 'when oil_heating above 40 F for more than 20 s then caution "HEATING"\n')
    assert one.open == ()
    check(ruleset, one)


def test_what_no_ramp_shows_stays_open_with_its_reason() -> None:
    _, one = made(
        "quantity cht[2] from 0 to 500 F, step 1 F\nlet mean = average of cht\ncht at most 500 F is green\n"
        'let cooling = fall of mean per min, from 0 to 400 F\nwhen cooling above 50 F then caution "MEAN"\n'
    )
    assert one.open
    assert all(line.endswith("only a reading that moves could show it") for line in one.open)
    assert moving(one) == []


def test_a_lamp_that_only_a_ramp_lights_is_said_to_be_so() -> None:
    ruleset, one = made(
        'when oil_heating above 40 F then caution "HEATING" after 3 s\n'
        'lamp "CAUT" shows caution, sequence A, acknowledged by ack\n'
    )
    assert one.open == ("lamp CAUT: lit by a reading that moves alone, its buttons are not gone through",)
    check(ruleset, one)


def test_a_condition_that_a_fall_clears() -> None:
    ruleset, one = made(
        'condition racing means rpm above 3000 rpm until oil_heating below -20 F\nwhen racing then caution "RACING"\n'
    )
    check(ruleset, one)
    assert any("racing, set before" in why for step in moving(one) for why in step.shows)


def test_a_ramp_stands_on_every_kind_of_card_and_comes_back(bramble: tuple[m.RuleSet, Card]) -> None:
    _, one = bramble
    words = "cht[1]: from 310 F down to 290 F, evenly, in 20 s"
    rows = filled(as_csv(one))
    assert any(row[2] == words for row in rows[3:])
    assert results(one, as_text(rows)) == ()
    page = as_html(one)
    assert words in page
    assert "23 s long: move" in page
    assert "A tenth quicker or slower does no harm" in page
    paper = " ".join(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(as_pdf(one))).pages).split())
    assert words in paper
    assert "23 s long: move" in paper
    assert "A tenth quicker or slower does no harm" in paper


def test_the_same_rules_give_the_same_ramps() -> None:
    one, other = (made('when oil_heating above 40 F then caution "HEATING"\n')[1] for _ in range(2))
    assert moving(one)
    assert as_csv(one) == as_csv(other)
