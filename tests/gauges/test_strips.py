"""What a strip says is so in every state its heading is about: held against the evaluator, by brute force."""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import pairwise, product

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.documents.strip_picture import draw_gauge
from alertlang.documents.terminal import gauge_lines
from alertlang.drafting.draft import draft
from alertlang.gauges import strip as strip_file
from alertlang.gauges.course import Timer
from alertlang.gauges.geometry import Point, Polygon
from alertlang.gauges.operating_map import Axis, axis, operating_map
from alertlang.gauges.states import moved
from alertlang.gauges.strip import Gauge, Strip, gauge
from alertlang.meaning.instant import Instant, State
from alertlang.model import ruleset as m
from alertlang.model import snapshot as s
from alertlang.text.resources import examples_dir
from alertlang.units.number import number_words, say_value
from tests.helpers.generate import rule_sets
from tests.helpers.timed import load as read
from tests.helpers.timed import timed_rulesets, values_of

random_sets = settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def sensors(ruleset: m.RuleSet) -> dict[str, tuple[Fraction, ...]]:
    """Every reading with the values that matter to it."""
    return {
        m.variable(q.name, index): values_of(ruleset, q)
        for q in ruleset.quantities.values()
        if not q.is_computed
        for index in q.indexes
    }


def open_truths(ruleset: m.RuleSet, mode: s.FaultModel) -> list[str]:
    held = [part for formula in ruleset.formulas for part in m.parts_of(formula) if isinstance(part, m.Held)]
    until = [one.name for one in ruleset.conditions.values() if one.until is not None]
    named = [s.until_flag(ruleset, one, mode) for one in until] + [s.held_flag(ruleset, one, mode) for one in held]
    return [*dict.fromkeys(named), *(s.failed_flag(name) for name in sorted(mode.may_fail))]


def states(
    ruleset: m.RuleSet, chance: random.Random, count: int, still: dict[str, Fraction], mode: s.FaultModel = s.PLAIN
) -> Iterator[Instant]:
    """Possible states, drawn blindly."""
    values, flags = sensors(ruleset), open_truths(ruleset, mode)
    for _ in range(count):
        readings = {name: chance.choice(some) for name, some in values.items()} | still
        positions = {name: chance.choice(switch.positions) for name, switch in ruleset.switches.items()}
        there = Instant(ruleset, State(readings, positions, {name: chance.random() < 0.6 for name in flags}), mode)
        if there.is_possible():
            yield there


def times_of(at: Axis, ruleset: m.RuleSet) -> list[tuple[Fraction, bool] | None]:
    """No time over, and each that a band of a gauge waits for: how long, and whether in total."""
    own = [b for b in ruleset.bands if b.quantity == at.quantity.name and b.index in (None, at.index)]
    return [None, *dict.fromkeys((b.held, b.in_total) for b in own if b.held is not None)]


def colours_over_time(at: Axis, there: Instant) -> list[m.Colour | None]:
    """What the evaluator shows at each of `times_of`, told which times are over: those that are no longer and began
    together. A break takes nothing from a time in total."""
    ruleset = there.ruleset
    found = []
    for over in times_of(at, ruleset):
        flags = dict(there.state.flags)
        for band in ruleset.bands:
            if band.quantity == at.quantity.name and band.held is not None:
                elapsed = over is not None and band.held <= over[0] and (band.in_total or not over[1])
                flags[s.elapsed_flag(ruleset, band, at.index, there.mode)] = elapsed
        told = Instant(ruleset, State(there.state.readings, there.state.positions, flags), there.mode)
        found.append(told.colour(at.quantity.name, at.index, linger=False))
    return found


def wrong(found: Gauge, there: Instant) -> list[str]:
    """The strips that are about a state and show something else than the evaluator, at once or after any time."""
    at = found.axis
    value = there.reading(at.quantity.name, at.index)
    shown = colours_over_time(at, there)
    assert shown[0] == there.colour(at.quantity.name, at.index, linger=False)
    timers = [None if one is None else Timer(*one) for one in times_of(at, there.ruleset)]
    return [
        f"{one.title} {one.still_words}: {shown} at {value}, {there.state}"
        for one in found.strips
        if one.holds(there) and [one.at(value).course.when(timer) for timer in timers] != shown
    ]


def has_context(found: Gauge, there: Instant) -> bool:
    """Some strip is about the contexts of a state, whatever else moves its edges."""
    return any(not one.headings or any(heading.holds(there) for heading in one.headings) for one in found.strips)


def axes(ruleset: m.RuleSet) -> list[Axis]:
    coloured = {band.quantity for band in ruleset.bands}
    return [
        axis(ruleset, m.variable(q.name, index))
        for q in ruleset.quantities.values()
        if q.name in coloured and not q.is_computed
        for index in q.indexes
    ]


def hold_against_the_evaluator(ruleset: m.RuleSet, chance: random.Random, count: int) -> int:
    """In how many states a strip was held against it."""
    seen = 0
    for at in axes(ruleset):
        found = gauge(Context(ruleset), at)
        if not found.strips:
            assert not any(states(ruleset, chance, count, {}))
            continue
        assert found.complete
        # Where no sensor is said to be needed, any other may fail.
        own = ruleset.sensors_read(at.quantity.name, at.index) | {at.name}
        mode = s.PLAIN if found.needs_sensors else s.told_without(frozenset(sensors(ruleset)) - own)
        for still in dict.fromkeys(((), *(one.still for one in found.strips))):
            for there in states(ruleset, chance, count, dict(still), mode):
                assert wrong(found, there) == []
                seen += any(one.holds(there) for one in found.strips)
                assert has_context(found, there)
    return seen


def edges_met(found: Gauge, there: Instant) -> Iterator[tuple[Strip, Fraction, Fraction]]:
    """Between which two values along the scale, all else as it is, the evaluator shows something else, now or after
    any time; of the two one is a number of the rules, and a strip is about both."""
    at, ruleset = found.axis, there.ruleset
    cells = [v for v in values_of(ruleset, at.quantity) if at.quantity.low <= v <= at.quantity.high]
    readings = there.state.readings
    along = [
        Instant(ruleset, State({**readings, at.name: v}, there.state.positions, there.state.flags), there.mode)
        for v in cells
    ]
    for one, other in pairwise(along):
        if not (one.is_possible() and other.is_possible()):
            continue
        if colours_over_time(at, one) != colours_over_time(at, other):
            for strip in found.strips:
                if strip.holds(one) and strip.holds(other):
                    yield strip, one.state.readings[at.name], other.state.readings[at.name]


def hold_numbers_against_the_evaluator(ruleset: m.RuleSet, chance: random.Random) -> int:
    """How many edges were met, each with its number in the strip, in its picture and in the terminal."""
    met = 0
    for at in axes(ruleset):
        found = gauge(Context(ruleset), at)
        texts = Counter(re.findall(r"<text[^>]*>([^<]*)</text>", draw_gauge(found, "svg").decode("utf-8")))
        wanted = Counter(number_words(edge) for one in found.strips for edge in one.edges)
        assert {text: texts[text] for text, count in wanted.items() if texts[text] < count} == {}
        lines = "\n".join("".join(text for _, text in line) for line in gauge_lines(found, 200))
        for still in dict.fromkeys(((), *(one.still for one in found.strips))):
            for there in states(ruleset, chance, 12, dict(still)):
                for strip, low, high in edges_met(found, there):
                    between = [edge for edge in strip.edges if low <= edge <= high]
                    assert between, (strip.title, low, high)
                    unit = at.quantity.unit
                    assert all(re.search(rf" {re.escape(say_value(edge, unit))}(\s|,|$)", lines) for edge in between)
                    met += 1
    return met


@random_sets
@given(timed_rulesets(rules=(3, 6)), st.randoms(use_true_random=False))
def test_every_edge_of_random_rule_sets_has_its_number(text: str, chance: random.Random) -> None:
    hold_numbers_against_the_evaluator(read(text), chance)


def test_every_edge_of_the_examples_has_its_number() -> None:
    ruleset = load(examples_dir() / "02-bramble" / "bramble.alert").model
    assert hold_numbers_against_the_evaluator(ruleset, random.Random(1)) > 100
    assert hold_numbers_against_the_evaluator(loads(RETRACTABLE).model, random.Random(1)) > 30


@st.composite
def many_times(draw: st.DrawFn) -> str:
    """One gauge on which bands with different times lie over each other."""
    text = 'rules "times" version 1\nquantity v from 0 to 10\nquantity w from 0 to 10\nswitch gear up, down\n'
    for _ in range(draw(st.integers(3, 7))):
        when = draw(st.sampled_from(("", "", "when gear is up then ", "when w above 5 then ")))
        low, high = sorted(draw(st.lists(st.integers(0, 10), min_size=2, max_size=2, unique=True)))
        region = draw(st.sampled_from((f"above {low}", f"at least {low}", f"from {low} to {high}", f"below {high}")))
        held = draw(st.sampled_from(("", *(f" for more than {n} s" for n in (1, 2, 3)))))
        total = draw(st.sampled_from(("", " in total"))) if held else ""
        colour = draw(st.sampled_from(("red", "yellow", "yellow", "green", "unmarked")))
        text += f"{when}v {region}{held}{total} is {colour}\n"
    return text


@settings(random_sets, max_examples=15)
@given(many_times(), st.randoms(use_true_random=False))
def test_gauges_on_which_many_times_meet(text: str, chance: random.Random) -> None:
    ruleset = loads(text).model
    hold_against_the_evaluator(ruleset, chance, 40)
    hold_numbers_against_the_evaluator(ruleset, chance)
    found = operating_map(Context(ruleset), "v", "w")
    assert found is not None
    for _ in range(20):
        up, across = (Fraction(chance.randrange(1, 200), 20) + Fraction(1, 41) for _ in range(2))
        there = moved(found.still, {"v": up, "w": across})
        (shown,) = [c for c, pieces in found.regions if any(holds(piece, (across, up)) for piece in pieces)]
        timers = [None if one is None else Timer(*one) for one in times_of(found.of, ruleset)]
        assert [shown.when(timer) for timer in timers] == colours_over_time(found.of, there)


def holds(piece: Polygon, point: Point) -> bool:
    turns = [
        (q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0]) for p, q in pairwise([*piece, piece[0]])
    ]
    return min(turns) > 0 or max(turns) < 0


@random_sets
@given(timed_rulesets(rules=(2, 6)), st.randoms(use_true_random=False))
def test_strips_of_random_rule_sets_with_a_clock(text: str, chance: random.Random) -> None:
    hold_against_the_evaluator(read(text), chance, 40)


@random_sets
@given(rule_sets(bands=(1, 6)), st.randoms(use_true_random=False))
def test_strips_of_random_rule_sets_with_assumptions(text: object, chance: random.Random) -> None:
    ruleset = loads(text.text).model  # type: ignore[attr-defined]
    hold_against_the_evaluator(ruleset, chance, 40)


# A gear, flaps, two conditions of the air and of the aircraft, a reading that is in no band by itself.
RETRACTABLE = """rules "retractable" version 1
quantity airspeed from 0 to 250 kt
quantity altitude from 0 to 30000 ft
quantity weight from 2000 to 4000 lb
switch flaps up, approach, landing
switch gear up, moving, down
switch air smooth, rough
curve top over altitude: 16000 ft -> 203 kt, 30000 ft -> 147 kt
airspeed at most 130 kt is unmarked
when flaps is up and gear is up and air is smooth and weight above 3000 lb then airspeed from 67 to 165 kt is green
when flaps is up and gear is up and air is smooth and weight at most 3000 lb then airspeed from 60 to 165 kt is green
when flaps is up and gear is up and air is rough then airspeed from 67 to 139 kt is green
when air is rough then airspeed from 139 to 165 kt is yellow
airspeed above 165 kt is yellow
airspeed from 130 to 250 kt is unmarked
when flaps is landing then airspeed above 123 kt is red
when flaps is approach then airspeed above 152 kt is red
gear_red: when gear is not up then airspeed above 150 kt is red
when gear is moving and altitude above 20000 ft then airspeed above 137 kt is red
airspeed above top is red
"""


def test_the_contexts_of_a_retractable_gear_are_all_there() -> None:
    """With so many contexts a list that stops once said `when flaps is up` over a scale that was green to 165 kt."""
    found, ruleset = retractable(), loads(RETRACTABLE).model
    assert found.complete
    values = sensors(ruleset)
    altitudes = {*values["altitude"], *(value for one in found.strips for _, value in one.still)}
    seen: set[int] = set()
    places = product(*(switch.positions for switch in ruleset.switches.values()))
    for position, speed in product(places, values["airspeed"]):
        there_positions = dict(zip(ruleset.switches, position, strict=True))
        for altitude, weight in product(altitudes, (Fraction(2500), Fraction(3000), Fraction(3001))):
            readings = {"airspeed": speed, "altitude": altitude, "weight": weight}
            there = Instant(ruleset, State(readings, there_positions))
            assert wrong(found, there) == []
            assert has_context(found, there)
            about = [i for i, one in enumerate(found.strips) if one.holds(there)]
            seen.update(about)
            if there_positions["gear"] != "up" and speed > 150:
                assert all(found.strips[i].at(speed).course.now is m.Colour.RED for i in about)
    assert seen == set(range(len(found.strips)))
    assert "flaps is up" not in [context for one in found.strips for context in one.contexts]


def test_the_words_of_a_heading_mean_what_was_proved(seed: int) -> None:
    """Read as the language reads them they hold in the same states."""
    headings = [one for strip in retractable().strips for one in strip.headings]
    assert len(headings) > 8
    told = loads(RETRACTABLE + "".join(f"condition h{i} means {one.words}\n" for i, one in enumerate(headings))).model
    for there in states(told, random.Random(seed), 200, {}):
        assert [there.condition(f"h{i}") for i in range(len(headings))] == [one.holds(there) for one in headings]


def test_what_takes_time_in_one_context_and_none_in_another_is_told_apart() -> None:
    ruleset = loads(
        'rules "x" version 1\nquantity rpm from 0 to 9 rpm\nswitch a on, off\nrpm at least 0 rpm is green\n'
        "when a is on then rpm above 5 rpm is red\nrpm above 5 rpm for more than 3 s is red\n"
    ).model
    strips = gauge(Context(ruleset), axis(ruleset, "rpm")).strips
    above = {one.contexts: one.at(Fraction(6)).course.words for one in strips}
    assert above == {("a is on",): "red", ("a is off",): "green, red after 3 s"}


@pytest.mark.parametrize("name", ["beechcraft-v35b", "beechcraft-a36tc"])
def test_drafted_airframes_have_strips_for_every_context(name: str, seed: int) -> None:
    ruleset = loads(draft([name]).text).model
    found = gauge(Context(ruleset), axis(ruleset, "airspeed"))
    assert found.complete
    chance = random.Random(f"{name} {seed}")
    met: set[str] = set()
    for still in dict.fromkeys(one.still for one in found.strips):
        for there in states(ruleset, chance, 150, dict(still)):
            assert wrong(found, there) == []
            assert has_context(found, there)
            met.update(one.title for one in found.strips if one.holds(there))
    assert len(met) > len(found.strips) / 2
    if name == "beechcraft-v35b":
        # gear_limit: 154 kt while the gear is not up.
        gear = [one for one in found.strips if any("gear is not up" in context for context in one.contexts)]
        assert gear
        assert all(one.at(Fraction(155)).course.now is m.Colour.RED for one in gear)
        assert all("gear is" in c or "flaps is extended" in c for one in found.strips for c in one.contexts)


@cache
def retractable() -> Gauge:
    ruleset = loads(RETRACTABLE).model
    return gauge(Context(ruleset), axis(ruleset, "airspeed"))


@cache
def said(found: Gauge) -> tuple[str, str]:
    """In a terminal of 80 columns, and in a picture, each as one line of words."""
    lines = ["".join(text for _, text in line) for line in gauge_lines(found, 80)]
    assert max(map(len, lines)) <= 80
    picture = re.findall(r"<text[^>]*>([^<]*)</text>", draw_gauge(found, "svg").decode("utf-8"))
    return " ".join(" ".join(lines).split()), " ".join(" ".join(picture).split())


def test_a_strip_whose_edge_moves_names_its_case() -> None:
    found = retractable()
    moving = [one for one in found.strips if one.moves]
    at_the_curve = 0
    for one in moving:
        assert [name for name, _ in one.still] == ["altitude"]
        altitude = one.still[0][1]
        # The red begins where the curve is at the altitude that is named, or where something else is red before.
        top = 203 - max(altitude - 16000, Fraction(0)) * Fraction(56, 14000)
        red = next(stretch for stretch in one.stretches if stretch.course.now is m.Colour.RED)
        assert red.low <= top
        at_the_curve += red.low == top
        for words in said(found):
            assert f"it changes with altitude, and is shown at {one.still_words[0]})" in words
    assert at_the_curve


def test_a_context_that_reads_the_scale_itself_is_one_case_too() -> None:
    ruleset = loads(
        'rules "x" version 1\nquantity map from 10 to 40 inHg\nquantity rpm from 0 to 3000 rpm\n'
        "let excess = map / 1 inHg - rpm / 100 rpm\nmap at least 10 inHg is green\n"
        "when excess above 15 then map above 18 inHg is red\n"
    ).model
    found = gauge(Context(ruleset), axis(ruleset, "map"))
    assert [name for name, _ in found.strips[0].still] == ["rpm"]
    (rpm,) = [value for _, value in found.strips[0].still]
    assert found.strips[0].stretches[-1].low == max(Fraction(18), 15 + rpm / 100)
    assert all("it changes with rpm" in words for words in said(found))


def test_a_list_that_is_not_complete_says_so_and_says_nothing_false(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    monkeypatch.setattr(strip_file, "MOST_CONTEXTS", 3)
    ruleset = loads(RETRACTABLE).model
    found = gauge(Context(ruleset), axis(ruleset, "airspeed"))
    assert not found.complete
    assert len(found.strips) <= 3
    for still in {one.still for one in found.strips}:
        for there in states(ruleset, random.Random(seed), 400, dict(still)):
            assert wrong(found, there) == []
    terminal, picture = said(found)
    assert "there may be more contexts than are shown here" in terminal
    assert "There may be more contexts than are shown here." in picture


DELAYED = """rules "x" version 1
quantity rpm from 0 to 9 rpm
quantity oil from 0 to 9
condition cold means oil below 3, set after 5 s
rpm at least 0 rpm is green
when cold then rpm above 5 rpm is red
"""


def test_what_must_have_settled_is_spoken_of() -> None:
    named = loads(DELAYED).model
    # The heading is the condition itself, with its delay.
    assert gauge(Context(named), axis(named, "rpm")).notes == ()
    read = loads(DELAYED + "when oil below 3 then rpm above 5 rpm is yellow\n").model
    found = gauge(Context(read), axis(read, "rpm"))
    assert {one.contexts: one.at(Fraction(6)).course.words for one in found.strips} == {
        ("not cold",): "green",
        ("cold",): "red",
    }
    assert "all of this is so once what has a delay has settled: cold" in said(found)[0]
    assert "All of this is so once what has a delay has settled: cold." in said(found)[1]


def test_what_could_not_be_decided_is_not_shown_as_proved() -> None:
    ruleset = loads(RETRACTABLE).model
    found = gauge(Context(ruleset, work_limit=1), axis(ruleset, "airspeed"))
    assert (found.complete, found.strips) == (False, ())
    assert "There may be more contexts than are shown here." in said(found)[1]


def test_sensors_that_must_work_are_spoken_of_where_others_matter() -> None:
    assert "every sensor works" in said(retractable())[1]
    told = loads(
        'rules "x" version 1\nquantity rpm from 0 to 9 rpm\nquantity oil from 0 to 9\n'
        "condition cold means oil below 3 or oil failed\nwhen cold then rpm above 5 rpm is red\n"
    ).model
    both = gauge(Context(told), axis(told, "rpm"))
    assert {one.contexts for one in both.strips} == {("not cold",), ("cold",)}
    assert both.notes == ()
    alone = loads(
        'rules "x" version 1\nquantity rpm from 0 to 9 rpm\nswitch a on, off\n'
        "when a is on then rpm above 5 rpm is red\n"
    ).model
    found = gauge(Context(alone), axis(alone, "rpm"))
    assert found.notes == ()
    assert {one.contexts for one in found.strips} == {("a is on",), ("a is off",)}
