"""Each resource of a display at its edge, and proposals that really make a rule set fit."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import draft, load, loads
from alertlang.cli.app import app
from alertlang.comparison.compare import compare
from alertlang.findings.codes import Severity
from alertlang.fit.fit import fit_of
from alertlang.fit.losses import Loss, without
from alertlang.fit.need import Need
from alertlang.fit.plan import FitPlan, makes_no_difference, plan_for
from alertlang.fit.run import display_findings
from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model.display import load_display
from alertlang.model.files import shipped_displays
from tests.fit.test_display_slots import display

HEAD = """\
rules "case" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
switch flaps up, down
"""
RULES = """\
rpm below 700 is white
rpm from 700 to 2600 is green
rpm from 2600 to 2750 is yellow
rpm above 2600 for more than 5 min is red with caution "SPEED 5 MIN"
rpm above 2750 is red with warning "OVERSPEED" after 1 s
when flaps is down then rpm above 2000 is red with caution "FLAPS"
when oil_temp below 75 F and flaps is up then caution "COLD"
gauge rpm labelled "ENGINE"
"""
BRAMBLE = Path(__file__).parents[2] / "examples/02-bramble/bramble.alert"


def errors(text: str, box: str) -> list[str]:
    return [
        one.code.name
        for one in display_findings(loads(HEAD + text).model, display(box))
        if one.severity is Severity.ERROR
    ]


@pytest.mark.parametrize(
    ("fits", "over", "name"),
    [
        ("allows 6 bands per quantity", "allows 5 bands per quantity", "too-many-bands"),
        ("allows 2 contexts", "allows 1 contexts", "too-many-contexts"),
        ("allows 2 timers", "allows 1 timers", "too-many-timers"),
        ("allows 4 alerts", "allows 3 alerts", "too-many-alerts"),
        ("text up to 11 characters", "text up to 10 characters", "long-text"),
        ("labels up to 6 characters", "labels up to 5 characters", "long-label"),
        ("colours red, yellow, green, white", "colours red, yellow, green", "missing-colour"),
        ("scan every 1 s", "scan every 1.01 s", "short-delay"),
    ],
)
def test_exactly_as_much_as_is_needed_fits_and_one_less_does_not(fits: str, over: str, name: str) -> None:
    assert errors(RULES, fits + "\n") == []
    assert errors(RULES, over + "\n") == [name]


def test_lamps_at_the_edge() -> None:
    lamp = 'lamp "{}" shows warning, sequence A with lock-in, acknowledged by ack\n'
    text = RULES + lamp.format("ONE") + lamp.format("TWO")
    assert errors(text, "allows 2 lamps\n") == []
    assert errors(text, "allows 1 lamps\n") == ["too-many-lamps"]


def test_what_is_not_said_is_a_note_and_no_error() -> None:
    found = display_findings(loads(HEAD + RULES).model, display("allows 9 timers\n"))
    assert [(one.code.name, one.severity.word) for one in found] == [("unsaid-resource", "note")]
    assert "how many contexts it has" in found[0].message
    assert "timers" not in found[0].message


def test_a_text_is_measured_with_the_longest_element_in_it() -> None:
    text = 'quantity egt[12] from 0 to 900 C\negt above 800 is red with warning "EGT {n}"\n'
    assert errors(text, "text up to 6 characters\n") == []
    assert errors(text, "text up to 5 characters\n") == ["long-text"]


def test_the_colour_proposed_is_never_calmer() -> None:
    found = {}
    for there in ("green, yellow", "yellow, red", "red", "green"):
        one = display_findings(loads(HEAD + "rpm below 700 is blue\n").model, display(f"colours {there}\n"))[0]
        found[there] = one.suggestion.text.split()[-1] if one.suggestion else None
    assert found == {"green, yellow": "green", "yellow, red": "yellow", "red": "red", "green": "green"}
    one = display_findings(loads(HEAD + "rpm above 700 is red\n").model, display("colours yellow\n"))[0]
    assert one.suggestion is None


TIMED = """\
limit rpm at most 2750 rpm, needs warning within 2 s, source NOTE
rpm at most 2750 is green
rpm above 2750 is red with warning "OVERSPEED" after {}
"""


@pytest.mark.parametrize(("after", "late"), [("1.5 s", False), ("1.6 s", True), ("2 s", True), ("3 s", False)])
def test_one_scan_more_than_is_allowed_is_late(after: str, late: bool) -> None:
    # What is late by the rules alone (3 s) is said by late-alert.
    assert errors(TIMED.format(after), "scan every 0.5 s\n") == (["late-on-display"] if late else [])


@pytest.mark.parametrize("clause", ["after 1.5 s", "after 1.6 s", "after 1.2 s"])
def test_the_stepper_is_never_later_than_the_time_that_is_told(clause: str) -> None:
    rules = loads(HEAD + TIMED.replace("after {}", clause)).model
    scan, begins = Fraction(1, 2), Fraction(1, 1000)
    stepper = Stepper(rules)
    seen: Fraction | None = None
    for number in range(12):
        now = number * scan
        rpm = Fraction(3000) if now >= begins else Fraction(2000)
        shown = stepper.step(Sample(now, {"rpm": rpm, "oil_temp": Fraction(180)}, {"flaps": "up"}))
        if seen is None and shown.alerts:
            seen = now - begins
    assert seen is not None
    late = "late-on-display" in errors(TIMED.replace("after {}", clause), "scan every 0.5 s\n")
    # The worst moment to begin is just after a scan: then what is told is what happens.
    assert late == (seen > 2 - begins)


def plan(text: str, box: str) -> FitPlan | None:
    return plan_for(fit_of(loads(HEAD + text).model, display(box)))


def test_a_merge_that_changes_nothing_comes_first() -> None:
    text = "a: rpm below 700 is white\nb: rpm from 700 to 1500 is green\nc: rpm from 1500 to 2600 is green\n"
    text += 'd: rpm from 2600 to 2750 is yellow\ne: rpm above 2750 is red with warning "OVERSPEED"\n'
    found = plan(text, "allows 4 bands per quantity\n")
    assert found is not None
    assert [(step.kind, step.labels, step.loss) for step in found.steps] == [("merge", ("b", "c"), Loss.NOTHING)]
    assert found.proved
    assert found.fits
    assert found.guarded
    assert not found.new
    assert compare(loads(HEAD + text).model, found.ruleset).same


def test_bands_of_other_contexts_are_not_merged() -> None:
    text = "a: rpm from 0 to 1500 is green\nb: when flaps is up then rpm from 1500 to 2600 is green\n"
    text += "c: rpm above 2600 is red\n"
    found = plan(text, "allows 2 bands per quantity\n")
    assert found is not None
    assert "merge" not in {step.kind for step in found.steps}


def test_a_context_that_makes_a_difference_is_not_given_up() -> None:
    text = "a: when flaps is up then rpm below 700 is yellow\nb: rpm at least 700 is green\n"
    text += "c: when flaps is down and oil_temp below 75 F then rpm below 700 is red\nd: rpm below 700 is white\n"
    found = plan(text, "allows 1 contexts\n")
    assert found is not None
    assert "widen" not in {step.kind for step in found.steps}
    # The checks on the whole would catch it; the question by itself must, too.
    rules = loads(HEAD + text).model
    fit = fit_of(rules, display("allows 1 contexts\n"))
    assert [makes_no_difference(fit, band) for band in rules.bands if band.when is not None] == [False, False]


def test_a_context_that_makes_no_difference_goes_first() -> None:
    text = "a: when flaps is up then rpm below 700 is yellow\nb: rpm at least 700 is green\n"
    text += 'c: when flaps is down then rpm below 700 is yellow with caution "SLOW"\n'
    found = plan(text, "allows 1 contexts\n")
    assert found is not None
    assert [(step.kind, step.labels, step.text) for step in found.steps] == [
        ("widen", ("a",), "a: rpm below 700 is yellow")
    ]
    assert found.fits
    assert found.guarded
    assert compare(loads(HEAD + text).model, found.ruleset).same


def test_a_calm_colour_goes_before_a_warning_and_a_guard_last() -> None:
    limit = "limit rpm at most 2750 rpm, needs warning, source NOTE\n"
    text = limit + "a: rpm below 700 is white\nb: rpm from 700 to 2600 is green\nc: rpm from 2600 to 2750 is yellow\n"
    text += 'd: rpm above 2750 is red with warning "OVERSPEED"\n'
    three = plan(text, "allows 3 bands per quantity\n")
    assert three is not None
    assert [step.loss for step in three.steps] == [Loss.CALM]
    assert three.fits
    assert three.guarded
    two = plan(text, "allows 2 bands per quantity\n")
    assert two is not None
    # A band more would cost a yellow or the green; only calm colours go.
    assert [step.loss for step in two.steps] == [Loss.CALM, Loss.CALM]
    assert two.fits
    assert "d" not in {label for step in two.steps for label in step.labels}


def test_the_plan_for_a_drafted_rule_set_makes_it_fit() -> None:
    rules = loads(draft(["continental-o-200-a"]).text).model
    needed = max(one.needed for one in Need(rules, display("allows 1 timers\n")).bands)
    box = display(f"allows {needed - 1} bands per quantity\n")
    found = plan_for(fit_of(rules, box))
    assert found is not None
    assert found.fits
    assert not any(one.over for one in Need(found.ruleset, box).resources)
    assert plan_for(fit_of(rules, display(f"allows {needed} bands per quantity\n"))) is None


def test_a_last_resort_is_called_one() -> None:
    text = "limit oil_temp at most 225 F, needs caution, source NOTE\noil_temp at most 225 F is green\n"
    text += 'hot: oil_temp above 225 F is red with caution "HOT"\n'
    text += 'fast: rpm above 2750 is red with caution "FAST"\nlimit rpm at most 2750 rpm, needs caution, source NOTE\n'
    text += "rpm at most 2750 is green\n"
    found = plan(text, "allows 1 alerts\n")
    assert found is not None
    assert [step.loss for step in found.steps] == [Loss.GUARD]
    assert not found.guarded
    assert any("unguarded-limit" in one for one in found.new)


@pytest.mark.alike
@pytest.mark.parametrize(("name", "fits"), [("small-box", False), ("medium-box", False), ("large-box", True)])
def test_the_second_example_on_each_shipped_display(name: str, fits: bool) -> None:
    box = load_display(shipped_displays()[name]).display
    assert box is not None
    rules = load(BRAMBLE).model
    found = plan_for(fit_of(rules, box))
    assert (found is None) == fits
    if found is not None:
        assert found.fits
        assert not any(one.over for one in Need(found.ruleset, box).resources)


def test_the_command_says_it_in_json_and_ends_with_its_code(tmp_path: Path) -> None:
    (tmp_path / "r.alert").write_text(HEAD + RULES, encoding="utf-8")
    (tmp_path / "b.display").write_text('display "b" version 1\nallows 5 bands per quantity\n', encoding="utf-8")
    args = ["fit", str(tmp_path / "r.alert"), str(tmp_path / "b.display")]
    result = CliRunner().invoke(app, [*args, "--output", "json"])
    data = json.loads(result.stdout)
    assert result.exit_code == 1
    assert not data["fits"]
    assert data["plan"]["fits"]
    assert CliRunner().invoke(app, [*args[:2], "no-such-box"]).exit_code == 2
    assert CliRunner().invoke(app, ["check", args[1], "--for", args[2]]).exit_code == 1


LAMPS = """\
quantity fuel "Fuel quantity" from 0 to 30 gal, step 1 gal
switch left feeding, off
rpm at most 2700 rpm is green
rpm above 2700 rpm is red with warning "OVERSPEED"
fuel at least 5 gal is green
fuel below 5 gal is yellow
low: when flaps is down then fuel below 2 gal is red with warning "FUEL"
low2: when left is off then fuel below 3 gal is red with warning "FUEL 2"
lamp "FUEL" shows low and low2, sequence A without lock-in, acknowledged by ack
"""


def test_a_lamp_is_lit_by_what_is_left_of_what_it_names() -> None:
    rules = loads(HEAD + LAMPS).model
    (lamp,) = without(rules, frozenset({"low"})).lamps
    assert lamp.labels == ("low2",)
    assert without(rules, frozenset({"low", "low2"})).lamps == ()
    # A lamp of a level stays, though it names nothing any more.
    level = loads(HEAD + LAMPS.replace("shows low and low2", "shows warning and low2")).model
    (lamp,) = without(level, frozenset({"low2"})).lamps
    assert lamp.levels
    assert lamp.labels == ()


def test_a_lamp_that_names_what_is_dropped_is_no_fault_of_the_tool(tmp_path: Path) -> None:
    (tmp_path / "a.alert").write_text(HEAD + LAMPS)
    box = tmp_path / "a.display"
    box.write_text('display "a" version 1\nallows 1 contexts\n')
    result = CliRunner().invoke(app, ["fit", str(tmp_path / "a.alert"), str(box)])
    assert result.exit_code == 1
    assert "fault of the tool" not in result.output
    assert "drop low" in result.output


def test_a_lamp_is_lit_by_the_whole_that_its_band_was_merged_into() -> None:
    rules = loads(
        HEAD
        + """rpm at most 2000 is green
one: rpm from 2000 to 2700 is red with warning "SPEED"
two: rpm above 2700 is red with warning "SPEED"
lamp "SPEED" shows two, sequence A without lock-in, acknowledged by ack
"""
    ).model
    plan = plan_for(fit_of(rules, display("allows 2 bands per quantity")))
    assert plan is not None
    assert plan.fits
    (lamp,) = plan.ruleset.lamps
    (red,) = (band for band in plan.ruleset.bands if band.alert is not None)
    assert red.label == "one"
    assert lamp.labels == ("one",)


@pytest.mark.parametrize(
    ("box", "verdict"),
    [
        ("allows 6 bands per quantity", "fits"),
        ("allows 5 bands per quantity", "does not fit: too-many-bands"),
        ("allows 5 bands per quantity\ntext up to 7 characters", "does not fit: too-many-bands, long-text"),
    ],
)
def test_the_last_line_is_the_verdict_and_a_plan_says_what_it_does_not_mend(
    tmp_path: Path, box: str, verdict: str
) -> None:
    (tmp_path / "a.alert").write_text(HEAD + RULES)
    (tmp_path / "a.display").write_text(f'display "a" version 1\n{box}\n')
    said = CliRunner().invoke(app, ["fit", str(tmp_path / "a.alert"), str(tmp_path / "a.display")]).stdout
    # Which of two checks comes first goes by the place in the text.
    head, _, names = said.splitlines()[-1].partition(": ")
    expected, _, codes = verdict.partition(": ")
    assert (head, sorted(names.split(", "))) == (expected, sorted(codes.split(", ")))
    assert ("These steps mend the counts only." in said) is ("too-many-bands" in verdict)
    assert ("AL706 long-text." in " ".join(said.split())) is ("long-text" in verdict)
