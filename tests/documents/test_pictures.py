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
from alertlang.documents.drawing import MapMark, caption, draw_map, places
from alertlang.documents.paint import FORMATS, spread
from alertlang.documents.strip_picture import draw_gauge
from alertlang.documents.terminal import gauge_lines, map_lines
from alertlang.gauges.course import Course, Timer
from alertlang.gauges.geometry import MapLine, Point, Polygon, centre, cut, outline, rectangle
from alertlang.gauges.operating_map import OperatingMap, axis, numbers, operating_map
from alertlang.gauges.states import HeldStill, moved
from alertlang.gauges.strip import gauge
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.text.resources import examples_dir
from alertlang.units.number import number_words
from tests.gauges.test_strips import colours_over_time, times_of
from tests.helpers.timed import load as load_timed
from tests.helpers.timed import timed_rulesets, values_of

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


def shown_in(found: OperatingMap, point: Point) -> set[Course]:
    return {course for course, pieces in found.regions if any(strictly_in(piece, point) for piece in pieces)}


def differing(found: OperatingMap, point: Point) -> list[Course]:
    """What a map shows at a point, at once or after any time, and the evaluator does not."""
    there = moved(found.still, {found.x.name: point[0], found.y.name: point[1]})
    timers = [None if one is None else Timer(*one) for one in times_of(found.of, there.ruleset)]
    shown = colours_over_time(found.of, there)
    return [one for one in shown_in(found, point) if [one.when(timer) for timer in timers] != shown]


whole = st.integers(-6, 6).map(Fraction)


@given(st.lists(st.builds(MapLine, whole, whole, whole), max_size=8))
def test_cutting_loses_no_ground_and_covers_none_twice(lines: list[MapLine]) -> None:
    square = rectangle(Fraction(-3), Fraction(4), Fraction(-2), Fraction(5))
    pieces = cut([square], lines)
    assert sum((area(piece) for piece in pieces), Fraction(0)) == 49
    assert all(area(piece) > 0 for piece in pieces)
    assert all(strictly_in(piece, centre(piece)) for piece in pieces)
    for line in lines:
        assert all(len({(line.at(point) > 0) for point in piece if line.at(point) != 0}) < 2 for piece in pieces)
    around = sum((abs(q[0] - p[0]) + abs(q[1] - p[1]) for p, q in outline(pieces)), Fraction(0))
    assert around == 28


@pytest.mark.alike
@pytest.mark.parametrize(
    ("of", "over", "held"),
    [
        ("map", "rpm", HeldStill({}, {})),
        ("map", "rpm", HeldStill({"cht[1]": Fraction(100), "cht[2]": Fraction(300)}, {})),
        ("rpm", "oil_temp", HeldStill({}, {})),
        ("rpm", "map", HeldStill({"oil_temp": Fraction(100)}, {})),
        ("map", "cht[2]", HeldStill({"rpm": Fraction(1500)}, {})),
    ],
)
def test_a_map_shows_what_the_evaluator_says(of: str, over: str, held: HeldStill, share: int) -> None:
    found = operating_map(Context(loads(MOVING).model), of, over, held)
    assert found is not None
    assert len(found.regions) > 1
    x, y = found.x.quantity, found.y.quantity
    # Odd: else the middle of the axes is a point, and edges lie there.
    seen, count = 0, 41 // share | 1
    for i in range(count):
        for j in range(count):
            across = x.low + (x.high - x.low) * (2 * i + 1) / (2 * count)
            up = y.low + (y.high - y.low) * (2 * j + 1) / (2 * count)
            assert differing(found, (across, up)) == []
            # On an edge the point is strictly in no piece.
            seen += len(shown_in(found, (across, up)))
    assert seen > count * count * 0.89


@settings(max_examples=40, phases=[Phase.explicit, Phase.generate], suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_maps_of_random_rule_sets(data: st.DataObject) -> None:
    ruleset = load_timed(data.draw(timed_rulesets()))
    sensors = [m.variable(q.name, i) for q in ruleset.quantities.values() if not q.is_computed for i in q.indexes]
    # A map needs two readings: what is said of a rule set with one is tested by itself.
    assume(len(sensors) > 1)
    of, over = data.draw(st.permutations(sensors))[:2]
    found = operating_map(Context(ruleset), of, over)
    # None only where what is assumed cannot be.
    assume(found is not None or not ruleset.assumptions)
    assert found is not None
    x, y = found.x.quantity, found.y.quantity
    for _ in range(20):
        across = x.low + (x.high - x.low) * data.draw(st.fractions(0, 1, max_denominator=50))
        up = y.low + (y.high - y.low) * data.draw(st.fractions(0, 1, max_denominator=50))
        assert differing(found, (across, up)) == []


ONE_READING = """rules "one-reading" version 1
quantity speed from 0 to 10 rpm
switch pump off, low, high
a1: when (not (pump is off)) for more than 1.5 s in total then warning "A1" after 1 s latched unless speed above 0 rpm
"""


@pytest.mark.parametrize(
    ("names", "code", "said"),
    [
        ([], 0, "nothing is drawn: no quantity has a band"),
        (["speed"], 0, "no colour  from 0 rpm to 10 rpm"),
        (["speed", "speed"], 2, "a map needs two different readings, not speed twice"),
        (["speed", "pump"], 2, "pump is a switch: hold it still in a map"),
    ],
)
def test_an_alert_without_a_gauge_is_drawn_or_it_is_said_why_not(
    tmp_path: Path, names: list[str], code: int, said: str
) -> None:
    (tmp_path / "one.alert").write_text(ONE_READING)
    result = CliRunner().invoke(app, ["show", str(tmp_path / "one.alert"), *names])
    assert result.exit_code == code
    assert said in result.output


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
            assert this.course != following.course
    if len(found.strips) > 1:
        assert all(strip.contexts for strip in found.strips)
        assert len({context for strip in found.strips for context in strip.contexts}) >= len(found.strips)


def test_contexts_of_a_gauge_are_those_a_person_would_name() -> None:
    ruleset = load(BRAMBLE).model
    contexts = [strip.contexts for strip in gauge(Context(ruleset), axis(ruleset, "airspeed")).strips]
    assert contexts == [("flaps is up",), ("flaps is takeoff",), ("flaps is landing",)]
    rpm = gauge(Context(ruleset), axis(ruleset, "rpm")).strips
    assert [strip.contexts for strip in rpm] == [("not cold_or_blind",), ("cold_or_blind",)]
    later = [one for one in rpm[0].stretches if one.course.later]
    assert [(one.low, one.high, one.course.words) for one in later] == [
        (Fraction(2600), Fraction(2800), "yellow, red after 5 min")
    ]


@pytest.mark.alike
@pytest.mark.parametrize("form", FORMATS)
def test_pictures_are_the_same_each_time_and_refer_to_nothing_outside(form: str) -> None:
    ruleset = load(BRAMBLE).model
    found = operating_map(Context(ruleset), "rpm", "oil_temp")
    assert found is not None
    marks = (MapMark(Fraction(60), Fraction(1500), "AL301"),)
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
    # As it is now all is well. With 1 s and 2 s the limit was broken and nothing came up: nowhere filled. With 3 s
    # nothing comes up any more: a cross, and no reaction time.
    hollow, filled = (f'style="fill: #{fill}; stroke: #111111' for fill in ("ffffff", "111111"))
    assert (pictures[0].count(hollow), pictures[0].count(filled)) == (4 + 1, 2)
    assert "a limit was broken unseen; cross: never came up" in " ".join(re.findall(r">([^<]*)</text>", pictures[0]))


def test_what_never_comes_up_has_no_reaction_time(tmp_path: Path) -> None:
    folder = examples_dir() / "02-bramble"
    recorded = [str(folder / "logs" / "first-flight.csv"), "--map", str(folder / "logs" / "recorder.toml")]
    target = tmp_path / "never.svg"
    done = CliRunner().invoke(
        app, ["tune", "oil_temp_red", str(BRAMBLE), *recorded, "--after", "1:1:1", "-o", str(target)]
    )
    assert done.exit_code == 0, done.stderr
    rows = [line.split() for line in done.stdout.splitlines() if line.startswith(("  0 now", "  1 "))]
    assert [row[-4] for row in rows] == ["none", "none"]
    text = target.read_text(encoding="utf-8")
    assert "it never came up" in text
    # The star and the crosses of the upper curve, and no point in the lower one.
    assert len(re.findall(r"<use [^>]*stroke: #111111", text)) == 3


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


def numbers_in(picture: bytes) -> set[str]:
    return set(re.findall(r"<text[^>]*>([^<]*)</text>", picture.decode("utf-8")))


def straight_edges(found: OperatingMap, side: str, data: st.DataObject) -> set[Fraction]:
    """Values at which the evaluator shows something else on both sides, now or after any time, at two places that lie
    so close to each other that the edge must run straight along the other reading."""
    moving, across = (found.x, found.y) if side == "x" else (found.y, found.x)
    low, high = across.quantity.low, across.quantity.high
    place = low + (high - low) * data.draw(st.fractions(Fraction(1, 50), Fraction(49, 50), max_denominator=50))
    little = (moving.quantity.high - moving.quantity.low) / 10**9

    def shown(value: Fraction, beside: Fraction) -> list[m.Colour | None]:
        return colours_over_time(found.of, moved(found.still, {moving.name: value, across.name: beside}))

    places = (place + (high - low) / 997, place + (high - low) / 991)
    inner = [
        v for v in values_of(found.still.ruleset, moving.quantity) if moving.quantity.low < v < moving.quantity.high
    ]
    return {v for v in inner if all(shown(v - little, one) != shown(v + little, one) for one in places)}


@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(st.data())
def test_every_straight_edge_of_a_random_map_has_its_number(data: st.DataObject) -> None:
    ruleset = load_timed(data.draw(timed_rulesets(rules=(3, 6))))
    sensors = [m.variable(q.name, i) for q in ruleset.quantities.values() if not q.is_computed for i in q.indexes]
    assume(len(sensors) > 1)
    of, over = data.draw(st.permutations(sensors))[:2]
    found = operating_map(Context(ruleset), of, over)
    assert found is not None
    edges = {side: straight_edges(found, side, data) for side in ("x", "y")}
    texts = numbers_in(draw_map(found, "svg"))
    in_terminal = " ".join("".join(part for _, part in line) for line in map_lines(found, 80))
    for side, values in edges.items():
        assert values <= set(numbers(found, side))
        for value in values:
            assert number_words(value) in texts
            assert re.search(rf"[ ,]{re.escape(number_words(value))}(,|\s|$)", in_terminal)


def test_numbers_that_crowd_stand_apart_and_in_order() -> None:
    places = [0.0, 1.0, 2.0, 50.0, 51.0, 99.0, 100.0]
    found = spread(places, [10.0] * 7, 100.0)
    assert all(other - one >= 10 - 1e-9 for one, other in pairwise(found))
    assert found[0] >= 5 - 1e-9
    assert found[-1] <= 95 + 1e-9
    # Where there is room a number stands at its place, and two that crowd keep theirs in the middle.
    assert spread([20.0, 50.0, 51.0], [10.0] * 3, 100.0) == [20.0, 45.5, 55.5]
    # What can never fit is pressed together.
    assert spread([1.0, 2.0], [60.0, 60.0], 100.0) == [25.0, 75.0]


TIMED = """rules "timed" version 1
quantity ng "Gas generator" from 0 to 110 %
quantity tot "Turbine outlet" from 0 to 900 C, deadband 2 C
switch pump on, off
condition hot means ng above 60 % until ng below 40 %, set after 4 s
tot at most 700 C is green
tot above 700 C is unmarked
tot above 738 C for more than 10 s is yellow
tot above 738 C for more than 5 min is red
tot above 810 C for more than 6 s in total is red
tot above 843 C is red
when hot and pump is on then tot above 600 C for more than 2 min is yellow
"""


def test_a_timed_band_is_drawn_and_named_in_all_its_states() -> None:
    ruleset = loads(TIMED).model
    found = gauge(Context(ruleset), axis(ruleset, "tot"))
    usual = next(one for one in found.strips if "hot" not in one.contexts)
    assert [(one.low, one.course.words) for one in usual.seen] == [
        (Fraction(0), "green"),
        (Fraction(700), "unmarked"),
        (Fraction(738), "unmarked, yellow after 10 s, red after 5 min"),
        (Fraction(810), "unmarked, red after 6 s in total"),
        (Fraction(843), "red"),
    ]
    picture = draw_gauge(found, "svg")
    texts = numbers_in(picture)
    assert {"0", "600", "700", "738", "810", "843", "900"} <= texts
    assert "above 738 C to 810 C: unmarked, yellow after 10 s, red after 5 min" in texts
    # A box is dashed for each colour to come: 2 and 1 where it is not hot; where it is, 1 and 1 more below 738 C.
    assert picture.decode().count("stroke-dasharray") == 3 + 5
    notes = " ".join(found.notes)
    assert "a time counts from when the reading gets there" in notes
    assert "until the reading is 2 C out of it (deadband)" in notes
    drawn = operating_map(Context(ruleset), "tot", "ng", HeldStill({}, {"pump": "on"}))
    assert drawn is not None
    named = {shown.words for shown, _ in drawn.regions}
    assert "green, yellow after 2 min" in named
    assert named <= numbers_in(draw_map(drawn, "svg"))
    assert "hot false wherever only the past decides" in drawn.shown_still
    assert "green, yellow after 2 min" in caption(drawn)
    lines = ["".join(part for _, part in line) for line in map_lines(drawn, 80)]
    assert max(map(len, lines)) <= 80
    assert any(re.search(r"\|# \+# \+# ", line) for line in lines)
    assert any(".+ green, yellow after 2 min" in line for line in lines)


def test_what_the_past_cannot_have_been_takes_nothing_else_with_it() -> None:
    """Moved to where one truth of the past cannot be, a state keeps the others; assumptions have no say in it."""
    ruleset = loads(
        'rules "past" version 1\nquantity a from 0 to 10\nquantity b from 0 to 10\nassume a below 9\n'
        "condition warm means a above 6 until a below 4\ncondition slow means b above 6 until b below 4\n"
        "when slow then a at least 0 is yellow\nwhen warm then a at least 0 is red\n"
    ).model
    flags = {"warm": True, "slow": True}
    there = Instant(ruleset, State({"a": Fraction(5), "b": Fraction(5)}, {}, flags))
    assert there.is_possible()
    cold = moved(there, {"a": Fraction(2)})
    assert (cold.condition("warm"), cold.condition("slow")) == (False, True)
    assert moved(there, {"a": Fraction(10)}).condition("slow")
    drawn = operating_map(
        Context(ruleset), "a", "b", HeldStill({}, {}, (m.ConditionIs("slow", span=ruleset.bands[0].span),))
    )
    assert drawn is not None
    assert {"slow true wherever only the past decides"} <= set(drawn.shown_still)


def test_a_strip_says_in_a_terminal_what_comes_and_when() -> None:
    ruleset = loads(TIMED).model
    found = gauge(Context(ruleset), axis(ruleset, "tot"))
    lines = ["".join(part for _, part in line) for line in gauge_lines(found, 80)]
    assert max(map(len, lines)) <= 80
    said = " ".join(" ".join(lines).split())
    assert "+# unmarked above 738 C to 810 C, yellow after 10 s, red after 5 min" in said
    assert " # unmarked above 810 C to 843 C, red after 6 s in total" in said


def test_no_red_is_too_narrow_for_a_terminal() -> None:
    ruleset = loads(
        'rules "x" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at least 0 rpm is green\n'
        "rpm from 1000 to 1002 rpm is red\nrpm from 2000 to 2001 rpm for more than 3 s is red\n"
    ).model
    bar = "".join(part for _, part in gauge_lines(gauge(Context(ruleset), axis(ruleset, "rpm")), 80)[3])
    assert bar.count("#") == 2


def test_a_single_value_without_a_colour_is_seen() -> None:
    ruleset = loads(
        'rules "x" version 1\nquantity rpm from 0 to 3000 rpm\nrpm below 1000 rpm is green\nrpm above 1000 rpm is red\n'
    ).model
    found = gauge(Context(ruleset), axis(ruleset, "rpm"))
    assert "at 1000 rpm: no colour" in numbers_in(draw_gauge(found, "svg"))
    # An end that two bands share is an edge and no more.
    joined = loads(
        'rules "x" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at most 1000 rpm is green\n'
        "rpm from 1000 to 2000 rpm is yellow\nrpm above 1000 rpm for more than 5 s is red\n"
    ).model
    assert [one.low for one in gauge(Context(joined), axis(joined, "rpm")).strips[0].seen] == [0, 1000, 2000]
