"""The ground-test card: what it says is what the rules show; its files; and the results that come back."""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.checks.context import Context
from alertlang.cli.app import app
from alertlang.documents.card import as_html, as_pdf
from alertlang.groundtest.card import Card, card
from alertlang.groundtest.goals import goals
from alertlang.groundtest.table import ResultsError, as_csv, results
from alertlang.groundtest.words import numbers
from alertlang.logic.solver import Answer
from tests.groundtest.cards_by_hand import lines_of, not_as_expected
from tests.helpers.browser import dom

EXAMPLES = Path(__file__).parents[2] / "examples"
FIRST = EXAMPLES / "01-first-rules" / "first.alert"
BRAMBLE = EXAMPLES / "02-bramble" / "bramble.alert"

HARD = """rules "hard" version 3
source NOTE common practice
quantity rpm "Engine <b>speed</b> #of *the* engine" from 0 to 3500 rpm, step 10 rpm, source NOTE
rpm at most 3500 rpm is green
when rpm above 2000 rpm then warning "#A <i>& $x$ *y* _z_" after 3 s
""" + "\n".join(
    f'quantity number_{i} "Reading {i}" from 0 to 100 psi, step 1 psi, source NOTE\n'
    f"number_{i} below 50 psi is green\n"
    f'number_{i} at least 50 psi is red with caution "A RATHER LONG ALERT NUMBER {i}"'
    for i in range(40)
)


@pytest.fixture(scope="module")
def first() -> Card:
    return card(load(FIRST).model)


@pytest.fixture(scope="module")
def hard() -> Card:
    return card(loads(HARD).model)


def filled(text: str, seen: str = "yes", initials: str = "AB") -> list[list[str]]:
    rows = list(csv.reader(io.StringIO(text, newline="")))
    return [*rows[:3], *([*row[:7], seen, initials] for row in rows[3:])]


def as_text(rows: list[list[str]]) -> str:
    opened = io.StringIO(newline="")
    csv.writer(opened).writerows(rows)
    return opened.getvalue()


@pytest.mark.parametrize("path", [FIRST, BRAMBLE])
def test_done_by_hand_everything_is_as_the_card_says(path: Path) -> None:
    ruleset = load(path).model
    text = as_csv(card(ruleset))
    assert len(lines_of(text)) > 30
    assert list(not_as_expected(ruleset, text)) == []


def test_every_edge_stands_on_the_card_from_both_sides(first: Card) -> None:
    values = {change for step in first.steps for change in step.changes}
    wanted = {"rpm = 2700 rpm", "rpm = 2710 rpm"} | {f"oil_temp = {v} F" for v in (99, 100, 219, 220, 221, 240, 241)}
    assert wanted <= values
    assert {"rpm = disconnected", "oil_temp = disconnected"} <= values
    assert first.open == ()


def test_a_delay_is_looked_at_before_and_after(hard: Card) -> None:
    lines = [one for step in hard.steps for one in step.expected if one.item.startswith("alert #A")]
    early = [one for one in lines if one.early]
    assert [(float(one.after), one.seen) for one in early] == [(2.5, "not up")] * len(early)
    assert early
    assert any((float(one.after), one.seen) == (3.5, "up") for one in lines)


def test_lines_are_numbered_in_the_order_in_which_they_are_looked_at(hard: Card) -> None:
    lines = [one for step in hard.steps for one in step.expected]
    assert [one.number for one in lines] == list(range(1, len(lines) + 1))
    for step in hard.steps:
        times = [one.after for one in step.expected]
        assert times == sorted(times)
        assert times[-1] < step.hold


def test_the_same_rules_give_the_same_bytes(first: Card) -> None:
    again = card(load(FIRST).model)
    assert as_csv(again) == as_csv(first)
    assert as_html(again) == as_html(first)
    assert as_pdf(again) == as_pdf(first)


def test_the_page_holds_every_line_and_nothing_from_outside(hard: Card, chromium: str, tmp_path: Path) -> None:
    page = tmp_path / "card.html"
    page.write_text(as_html(hard), encoding="utf-8")
    made = dom(chromium, page, tmp_path / "profile")
    rows = re.findall(r"<tr[^>]*><td>\d+</td><td>[\d.]+ s</td>", made)
    assert len(rows) == sum(len(step.expected) for step in hard.steps)
    assert "#A &lt;i&gt;&amp; $x$ *y* _z_" in made
    assert not re.search(r"(?:src|href)\s*=|url\(|@import", made)


@pytest.mark.parametrize(("size", "points"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_the_paper_holds_every_step(hard: Card, size: str, points: tuple[int, int]) -> None:
    pages = PdfReader(io.BytesIO(as_pdf(hard, size=size))).pages
    assert (round(pages[0].mediabox.width), round(pages[0].mediabox.height)) == points
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    for step in hard.steps:
        assert f"Step {step.number}," in text
    assert "*y* _z_" in text
    assert hard.digest in text
    assert "does not certify" in text


def test_results_that_are_as_they_must_be(first: Card) -> None:
    assert results(first, as_text(filled(as_csv(first)))) == ()
    # What was seen may be written down, too, and a spreadsheet may part cells by semicolons.
    rows = filled(as_csv(first))
    assert results(first, as_text([*rows[:3], *([*r[:7], r[6].upper(), r[8]] for r in rows[3:])])) == ()


def test_results_that_are_not(first: Card) -> None:
    rows = filled(as_csv(first))
    rows[3][7] = "red"
    rows[4][7] = ""
    rows[5][8] = ""
    rows[6][6] = "up"
    del rows[7]
    rows.append(["9999", *rows[-1][1:]])
    rows.append(list(rows[8]))
    found = {(one.kind, one.row, one.line) for one in results(first, as_text(rows))}
    assert found == {
        ("failed", 4, "1"),
        ("missed", 5, "2"),
        ("missed", 6, "3"),
        ("unreadable", 7, "4"),
        ("missed", 0, "5"),
        ("unreadable", len(rows) - 1, "9999"),
        ("unreadable", len(rows), rows[8][0]),
    }


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "does not name the rule set"),
        ("nothing", "does not name the rule set"),
        ("rules,first,1,digest,abc\r\n", "another state of the rules"),
        ('rules,first,1,digest,"abc', "another state of the rules"),
    ],
)
def test_results_of_something_else_are_refused(first: Card, text: str, said: str) -> None:
    with pytest.raises(ResultsError, match=said):
        results(first, text)


def test_results_without_their_head_are_refused(first: Card) -> None:
    rows = filled(as_csv(first))
    with pytest.raises(ResultsError, match=r"line 3: the head lacks seen; it must read line, step, "):
        results(first, as_text([*rows[:2], *([*row[:7], row[8]] for row in rows[2:])]))
    with pytest.raises(ResultsError, match="line 3: the columns stand in another order"):
        results(first, as_text([*rows[:2], *([row[1], row[0], *row[2:]] for row in rows[2:])]))
    with pytest.raises(ResultsError, match="no line has the head"):
        results(first, as_text([*rows[:2], *rows[3:]]))


def test_results_that_are_not_text_are_refused_with_a_way_out(tmp_path: Path) -> None:
    file = tmp_path / "card.csv"
    file.write_bytes(b"rules,\xff\xfe")
    done = CliRunner().invoke(app, ["cards", str(FIRST), "--results", str(file)])
    assert (done.exit_code, "save it as CSV in UTF-8" in done.stderr) == (2, True)
    done = CliRunner().invoke(app, ["cards", str(FIRST), "--results", str(tmp_path / "none.csv")])
    assert (done.exit_code, "cannot be read" in done.stderr) == (2, True)


@pytest.mark.parametrize("name", ["none/card.csv", "none/card.html"])
def test_a_place_that_cannot_be_written_is_said(tmp_path: Path, name: str) -> None:
    done = CliRunner().invoke(app, ["cards", str(FIRST), "-o", str(tmp_path / name)])
    assert (done.exit_code, "cannot be written" in done.stderr) == (2, True)
    assert list(tmp_path.iterdir()) == []


def test_what_is_not_decided_is_named_and_never_passed_as_covered(monkeypatch: pytest.MonkeyPatch) -> None:
    ruleset = load(FIRST).model
    edges = {goal.what for goal in goals(ruleset).found if not goal.alone}
    monkeypatch.setattr(Context, "is_satisfiable", lambda *_: Answer.UNDECIDED)
    made = goals(ruleset)
    assert made.impossible == []
    assert all(goal.alone for goal in made.found)
    assert made.found
    assert {f"{what}: not decided, the solver gave up" for what in edges} == set(made.open)
    shown = card(ruleset)
    assert set(made.open) <= set(shown.open)
    assert "not decided" in as_html(shown)


def test_a_lamp_that_nothing_lights_is_named() -> None:
    text = FIRST.read_text(encoding="utf-8") + 'lamp "ADVICE" shows advisory, sequence A, acknowledged by ack\n'
    assert card(loads(text).model).open == ("lamp ADVICE: never lit by this card",)


LATE = """rules "late" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source NOTE
quantity oil_temp "Oil" from 0 to 300 F, step 1 F, source NOTE
rpm below 2600 rpm is green
rpm at least 2600 rpm is yellow
slow: rpm above 2700 rpm for more than 20 s is red with caution "SPEED" after 3 s
condition cold means oil_temp below 75 F until oil_temp above 80 F
oil_temp at most 300 F is green
blind: when oil_temp failed and cold then caution "BLIND"
"""


def test_what_must_not_come_is_waited_for_as_long_as_what_comes() -> None:
    ruleset = loads(LATE).model
    made = card(ruleset)
    held = {change: step.hold for step in made.steps for change in step.changes}
    assert held["rpm = 2710 rpm"] >= 24
    assert held["rpm = 2700 rpm"] >= 24
    assert list(not_as_expected(ruleset, as_csv(made))) == []


def test_a_condition_is_set_before_the_sensor_is_taken_off_that_sets_it() -> None:
    made = card(loads(LATE).model)
    assert made.open == ()
    up = [step for step in made.steps if any(one.seen == "caution BLIND" for one in step.expected)]
    assert up
    assert "oil_temp = disconnected" in up[0].changes
    before = made.steps[up[0].number - 2]
    assert isinstance(before.settings["oil_temp"], Fraction)
    assert before.settings["oil_temp"] < 75


def test_no_fewer_steps_would_do(first: Card) -> None:
    assert len(first.steps) == first.least == 10
    assert "No fewer steps would do." in numbers(first)


def test_the_command(tmp_path: Path) -> None:
    run = CliRunner()
    said = run.invoke(app, ["cards", str(FIRST)]).stdout
    assert "   6  oil_temp = 241 F\n      held 2 s; alerts: warning OIL HOT\n" in said
    assert max(map(len, said.splitlines())) <= 80
    out = tmp_path / "card.csv"
    done = run.invoke(app, ["cards", str(FIRST), "-o", str(out)])
    assert done.exit_code == 0, done.output
    done = run.invoke(app, ["cards", str(FIRST), "--results", str(out)])
    assert done.exit_code == 1
    assert "nothing was written down" in done.output
    out.write_text(as_text(filled(out.read_text(encoding="utf-8"))), encoding="utf-8")
    done = run.invoke(app, ["cards", str(FIRST), "--results", str(out)])
    assert done.exit_code == 0, done.output
    done = run.invoke(app, ["cards", str(BRAMBLE), "--results", str(out)])
    assert done.exit_code == 2
    assert "another state of the rules" in done.stderr
    assert run.invoke(app, ["cards", str(FIRST), "-o", str(tmp_path / "card.txt")]).exit_code == 2


LAMPS = """rules "lamps" version 1
source NOTE common practice
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, source NOTE
quantity oil_temp "Oil" from 0 to 300 F, step 1 F, source NOTE
normal rpm at most 2700 rpm, source NOTE
normal oil_temp at most 240 F, source NOTE
rpm at most 2700 rpm is green
overspeed: rpm above 2700 rpm is red with warning "OVERSPEED"
oil_temp at most 240 F is green
oil_hot: oil_temp above 240 F is red with warning "OIL HOT" after 2 s latched
lamp "MASTER" shows warning, sequence M, acknowledged by ack, reset by clear
"""


def test_a_lamp_alerts_is_acknowledged_alerts_again_and_is_reset() -> None:
    ruleset = loads(LAMPS).model
    made = card(ruleset)
    text = as_csv(made)
    assert list(not_as_expected(ruleset, text)) == []
    assert made.open == ()
    lamp = [line for line in lines_of(text) if line.item == "lamp MASTER"]
    # What is looked at to see that it has not come yet is left out.
    last = [one.seen for step in made.steps for one in step.expected if one.item == "lamp MASTER" and not one.early]
    assert last[-6:] == [
        "flashing, sound alarm",
        "steady",
        "off",
        "flashing, sound alarm",
        "steady",
        "off",
    ]
    assert {"press ack", "press clear"} <= {line.stimulus for line in lamp}
