"""Operating maps and strips are exact; their pictures are whole, the same each time, and refer to nothing outside."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.cli.app import app
from alertlang.documents.drawing import FORMATS, Mark, draw_gauge, draw_map
from alertlang.documents.geometry import Line, Point, Polygon, centre, cut, outline, rectangle
from alertlang.documents.map_numbers import apart, numbers
from alertlang.documents.mark_labels import places
from alertlang.documents.operating_map import OperatingMap, axis, operating_map
from alertlang.documents.states import Held, moved
from alertlang.documents.strip import gauge
from alertlang.model import ruleset as m
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"

MOVING = """rules "moving" version 1
quantity rpm from 0 to 3000 rpm
quantity map from 10 to 40 inHg
quantity cht[2] from 0 to 500 F
quantity oil_temp from 0 to 300 F
curve top over rpm: 1000 rpm -> 20 inHg, 2000 rpm -> 35 inHg, 2500 rpm -> 30 inHg
let ratio = map / 1 inHg - rpm / 100 rpm
let apart = spread of cht
condition cold means oil_temp below 120 F until oil_temp above 140 F
map below top is green
map at least top is yellow
map above 38 inHg is red
when ratio above 15 then map above 18 inHg is red
when apart above 100 F then map below 15 inHg is red
when cold then rpm above 2000 rpm is red
rpm from 0 to 2700 rpm is green
rpm above 2700 rpm for more than 10 s is red
"""


def area(polygon: Polygon) -> Fraction:
    return sum((p[0] * q[1] - q[0] * p[1] for p, q in pairwise([*polygon, polygon[0]])), Fraction(0)) / 2


def strictly_in(polygon: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0])
        for p, q in pairwise([*polygon, polygon[0]])
    ]
    return min(turns) > 0 or max(turns) < 0


def shown_in(found: OperatingMap, point: Point) -> set[m.Colour | None]:
    return {colour for colour, pieces in found.regions if any(strictly_in(piece, point) for piece in pieces)}


whole = st.integers(-6, 6).map(Fraction)


@given(st.lists(st.builds(Line, whole, whole, whole), max_size=8))
def test_cutting_loses_no_ground_and_covers_none_twice(lines: list[Line]) -> None:
    square = rectangle(Fraction(-3), Fraction(4), Fraction(-2), Fraction(5))
    pieces = cut([square], lines)
    assert sum((area(piece) for piece in pieces), Fraction(0)) == 49
    assert all(area(piece) > 0 for piece in pieces)
    assert all(strictly_in(piece, centre(piece)) for piece in pieces)
    for line in lines:
        assert all(len({(line.at(point) > 0) for point in piece if line.at(point) != 0}) < 2 for piece in pieces)
    around = sum((abs(q[0] - p[0]) + abs(q[1] - p[1]) for p, q in outline(pieces)), Fraction(0))
    assert around == 28


@pytest.mark.parametrize(
    ("of", "over", "held"),
    [
        ("map", "rpm", Held({}, {})),
        ("map", "rpm", Held({"cht[1]": Fraction(100), "cht[2]": Fraction(300)}, {})),
        ("rpm", "oil_temp", Held({}, {})),
        ("rpm", "map", Held({"oil_temp": Fraction(100)}, {})),
        ("map", "cht[2]", Held({"rpm": Fraction(1500)}, {})),
    ],
)
def test_a_map_shows_what_the_evaluator_says(of: str, over: str, held: Held) -> None:
    found = operating_map(Context(loads(MOVING).model), of, over, held)
    assert found is not None
    assert len(found.regions) > 1
    x, y = found.x.quantity, found.y.quantity
    seen = 0
    for i in range(41):
        for j in range(41):
            across = x.low + (x.high - x.low) * (2 * i + 1) / 82
            up = y.low + (y.high - y.low) * (2 * j + 1) / 82
            expected = moved(found.still, {over: across, of: up}).colour(y.name, found.y.index, eventually=True)
            shown = shown_in(found, (across, up))
            # On an edge the point is strictly in no piece.
            assert shown <= {expected}
            seen += len(shown)
    assert seen > 1500


@settings(max_examples=40, phases=[Phase.explicit, Phase.generate], suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_maps_of_random_rule_sets(data: st.DataObject) -> None:
    from tests.helpers.timed import load as load_timed
    from tests.helpers.timed import timed_rulesets

    ruleset = load_timed(data.draw(timed_rulesets()))
    sensors = [m.variable(q.name, i) for q in ruleset.quantities.values() if not q.is_computed for i in q.indexes]
    of, over = data.draw(st.permutations(sensors))[:2]
    found = operating_map(Context(ruleset), of, over)
    # None only where what is assumed cannot be.
    assume(found is not None or not ruleset.assumptions)
    assert found is not None
    x, y = found.x.quantity, found.y.quantity
    for _ in range(20):
        across = x.low + (x.high - x.low) * data.draw(st.fractions(0, 1, max_denominator=50))
        up = y.low + (y.high - y.low) * data.draw(st.fractions(0, 1, max_denominator=50))
        there = moved(found.still, {over: across, of: up})
        assert shown_in(found, (across, up)) <= {there.colour(y.name, found.y.index, eventually=True, linger=False)}


def test_a_limit_is_drawn_where_it_begins_to_be_broken() -> None:
    found = operating_map(Context(load(BRAMBLE).model), "rpm", "oil_temp")
    assert found is not None
    edges = dict(found.broken)["warm_up"]
    # Below 75 F the limit is 1200 rpm; the frame itself is not drawn.
    assert {point for edge in edges for point in edge if point[0] < 75} >= {(Fraction(-40), Fraction(1200))}
    assert all(p[0] == q[0] == 75 or p[1] == q[1] == 1200 for p, q in edges)


@pytest.mark.parametrize("name", ["rpm", "cht", "oil_pressure", "airspeed", "volts", "battery_amps", "fuel_quantity"])
def test_a_strip_shows_what_the_evaluator_says_in_each_context(name: str) -> None:
    ruleset = load(BRAMBLE).model
    found = gauge(Context(ruleset), axis(ruleset, name))
    assert found.complete
    quantity = found.axis.quantity
    for strip in found.strips:
        assert (strip.stretches[0].low, strip.stretches[-1].high) == (quantity.low, quantity.high)
        for this, following in pairwise(strip.stretches):
            assert this.high == following.low
            # An edge belongs to one side, never to both or to neither.
            assert this.high_included is not following.low_included
            assert (this.colour, this.first) != (following.colour, following.first)
    if len(found.strips) > 1:
        assert all(strip.contexts for strip in found.strips)
        assert len({context for strip in found.strips for context in strip.contexts}) >= len(found.strips)


def test_contexts_of_a_gauge_are_those_a_person_would_name() -> None:
    ruleset = load(BRAMBLE).model
    contexts = [strip.contexts for strip in gauge(Context(ruleset), axis(ruleset, "airspeed")).strips]
    assert contexts == [("flaps is up",), ("flaps is takeoff",), ("flaps is landing",)]
    rpm = gauge(Context(ruleset), axis(ruleset, "rpm")).strips
    assert [strip.contexts for strip in rpm] == [("not cold_or_blind",), ("cold_or_blind",)]
    later = [one for one in rpm[0].stretches if one.later]
    assert [(one.low, one.high, one.first, one.colour) for one in later] == [
        (Fraction(2600), Fraction(2800), m.Colour.YELLOW, m.Colour.RED)
    ]


@pytest.mark.parametrize("form", FORMATS)
def test_pictures_are_the_same_each_time_and_refer_to_nothing_outside(form: str) -> None:
    ruleset = load(BRAMBLE).model
    found = operating_map(Context(ruleset), "rpm", "oil_temp")
    assert found is not None
    marks = (Mark(Fraction(60), Fraction(1500), "AL301"),)
    picture = draw_map(found, form, marks=marks)
    assert picture == draw_map(found, form, marks=marks)
    strips = draw_gauge(gauge(Context(ruleset), axis(ruleset, "rpm")), form)
    assert strips == draw_gauge(gauge(Context(ruleset), axis(ruleset, "rpm")), form)
    if form == "svg":
        text = picture.decode("utf-8")
        for word in ("AL301", "Oil temperature (F)", "2600", "unmarked"):
            assert word in text
        links = re.findall(r'(?:href|src)="([^"]*)"', text)
        assert all(link.startswith("#") for link in links)


def run(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["show", *arguments])
    return result.exit_code, result.stdout, result.stderr


def test_show_in_a_terminal() -> None:
    code, out, _ = run(str(BRAMBLE), "airspeed")
    assert code == 0
    assert "when flaps is landing" in out
    assert "# red        above 85 kt to 200 kt" in out
    code, out, _ = run(str(BRAMBLE))
    assert code == 0
    assert "Engine speed (rpm)" in out
    assert "Fuel quantity (gal)" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    code, out, _ = run(str(BRAMBLE), "rpm", "oil_temp")
    assert code == 0
    assert re.search(r"\|#{24}\.+\|", out)


def test_show_marks_what_the_checks_have_found(tmp_path: Path) -> None:
    wrong = examples_dir() / "02-bramble" / "mistakes" / "unguarded-limit.alert"
    target = tmp_path / "map.svg"
    code, out, _ = run(str(wrong), "rpm", "oil_temp", "-o", str(target))
    assert (code, out) == (0, f"drew {target}\n")
    assert "AL301" in target.read_text(encoding="utf-8")
    run(str(BRAMBLE), "rpm", "oil_temp", "-o", str(target))
    assert "AL301" not in target.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["rmp"], "did you mean rpm?"),
        (["cht[9]"], "there is no quantity cht[9]"),
        (["cht_spread"], "cht_spread is worked out from cht and is not drawn"),
        (["rpm", "rpm"], "two different readings"),
        (["rpm", "oil_temp", "--at", "flaps half"], "it has up, takeoff, landing"),
        (["rpm", "airspeed", "--at", "oil_temp 900 F"], "its sensor reads from"),
        (["rpm", "airspeed", "--at", "oil_temp 60 psi"], "cannot be converted"),
        (["rpm", "airspeed", "--at", "oil_temp 60 F", "--at", "not cold"], "impossible together"),
        (["rpm", "airspeed", "--at", "sunny"], "cannot tell what is to be held still"),
        (["rpm", "-o", "picture.bmp"], "must end with"),
        (["-o", "picture.svg"], "name the gauge"),
        (["rpm", "-o", "nowhere/picture.svg"], "cannot be written"),
        (["rpm", "--at", "cold"], "only a map"),
    ],
)
def test_show_says_what_is_wrong(arguments: list[str], said: str) -> None:
    code, _, err = run(str(BRAMBLE), *arguments)
    assert code == 2
    assert said in " ".join(re.sub(r"[│╭╮╰╯─]", " ", err).split())


def test_what_tuning_trades_is_drawn(tmp_path: Path) -> None:
    folder = examples_dir() / "02-bramble"
    recorded = [str(folder / "logs" / "first-flight.csv"), "--map", str(folder / "logs" / "recorder.toml")]
    pictures = []
    for name in ("a.svg", "b.svg"):
        target = tmp_path / name
        done = CliRunner().invoke(
            app, ["tune", "volts_red", str(BRAMBLE), *recorded, "--after", "1:3:1", "-o", str(target)]
        )
        assert done.exit_code == 0, done.stderr
        pictures.append(target.read_text(encoding="utf-8"))
    assert pictures[0] == pictures[1]
    for words in ("volts_low_limit allows 2 s", "alerts per hour", "there after (s)", "LOW VOLTS"):
        assert words in pictures[0]
    # One candidate, 3 s, breaks the limit: a ring in each of the two curves.
    assert pictures[0].count("fill: #ffffff; stroke: #111111") == 2


def test_words_of_marks_stand_inside_and_not_over_each_other() -> None:
    points = [(0.0, 0.9), (0.0, 0.87), (0.0, 0.3), (0.5, 0.3), (0.5, 0.3), (0.99, 0.99), (1.0, 0.0), (0.97, 0.98)]
    texts = ["AL201"] * len(points)
    found = list(places(points, texts))
    width, high = 0.0625, 0.045
    for number, (x, y) in enumerate(found):
        assert x >= 0
        assert x + width <= 1
        assert 0 <= y <= 1 - high
        for left, low in found[:number]:
            assert x + width <= left or left + width <= x or y + high <= low or low + high <= y
    # As near as there is room.
    assert abs(found[2][1] + high / 2 - 0.3) < 0.001


def test_a_long_title_is_not_cut_off() -> None:
    name = "Cylinder head temperature of the left engine at the hottest thermocouple of all of them"
    ruleset = loads(
        f'rules "r" version 1\nquantity t "{name}" from 0 to 500 F\nquantity rpm from 0 to 3000 rpm\n'
        "t at most 400 F is green\nwhen rpm above 1000 rpm then t above 400 F is red\n"
    ).model
    found = operating_map(Context(ruleset), "t", "rpm")
    assert found is not None
    text = draw_map(found, "svg").decode("utf-8")
    words = re.findall(r"<text[^>]*>([^<]*)</text>|<tspan[^>]*>([^<]*)</tspan>", text)
    longest = max(len(one or other) for one, other in words)
    assert 20 < longest <= 75


def test_the_numbers_of_a_map_are_of_what_changes() -> None:
    # The landing speed cuts the plane, and in this context nothing changes there.
    ruleset = loads(
        'rules "r" version 1\nquantity v from 0 to 250 kt\nquantity h from 0 to 30000 ft\nswitch flaps up, down\n'
        "curve top over h: 16000 ft -> 203 kt, 30000 ft -> 147 kt\n"
        "v at most 67 kt is white\nv from 67 kt to top is green\nv above top is red\n"
        "when flaps is down and h above 21000 ft then v above 57 kt is yellow\n"
    ).model
    found = operating_map(Context(ruleset), "v", "h")
    assert found is not None
    assert numbers(found, "y") == [0, 67, 147, 203, 250]
    assert numbers(found, "x") == [0, 16000, 30000]
    assert apart([Fraction(0), Fraction(1), Fraction(5)], Fraction(2), (Fraction(0), Fraction(9))) == [0, 5, 9]
