"""The pilot's card is one page and names every alert (AC 23.1311-1C, 22.8: a complete list of warnings, cautions and
annunciations belongs into the supplement)."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from alertlang.api import load, loads
from alertlang.cli.app import app
from alertlang.documents.pilot_card import SMALLEST, PilotCard, card_pages, pilot_card
from alertlang.documents.typeset import PAPERS
from alertlang.library.identity import content_digest
from alertlang.model import ruleset as m
from alertlang.output.text import CAUTION
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble" / "bramble.alert"

CROWDED = (
    'rules "crowded" version 7\n'
    'quantity cht[6] "Cylinder head temperature of a rather long name indeed" from 0 to 600 F\n'
    "condition a_context_with_a_long_name means any cht above 100 F until any cht above 150 F, set after 5 s\n"
    + "".join(
        f"alert_{n}: when a_context_with_a_long_name and cht[{n % 6 + 1}] above {300 + n} F "
        f'then {("warning", "caution", "advisory")[n % 3]} "LONG TEXT #{n} *_<$"\n'
        for n in range(40)
    )
    + "cht at most 450 F is green\ncht above 450 F for more than 10 s is red\n"
    + 'lamp "MASTER WARNING" shows warning, sequence A, acknowledged by ack\n'
)


# So much that no type that can be read brings it onto one page.
TOO_MUCH = CROWDED.replace("alert_", "an_alert_") + "".join(
    f"more_{n}: when a_context_with_a_long_name and every cht above {400 + n} F and cht[2] below {200 + n} F "
    f'then caution "MORE {n:02d}"\n'
    for n in range(40)
)

MOVING = """rules "moving" version 1
source MADE common practice "invented"
quantity altitude "Pressure altitude" from 0 to 30000 ft, step 100 ft
quantity airspeed "Indicated airspeed, pitot" from 0 to 250 kt, step 1 kt
quantity egt[4] "EGT" from 0 to 1800 F, step 1 F
quantity rpm from 0 to 3000 rpm, step 10 rpm
curve vne_at_altitude over altitude: 16000 ft -> 203 kt, 30000 ft -> 147 kt, otherwise 147 kt
let margin = vne_at_altitude - airspeed
let apart = spread of egt
let egt_rise = rise of egt per min, from 0 to 600 F
condition near means margin below 10 kt
airspeed above vne_at_altitude is red with warning "TOO FAST"
egt[3] above 1600 F for more than 2 min is red
rpm above 2700 rpm for more than 20 s is red with caution "RPM TIME"
when near and any egt_rise above 100 F then advisory "NEAR"
when apart above 200 F then caution "UNEVEN"
limit airspeed at most vne_at_altitude except for 3 s, needs caution, source MADE
limit rpm at most 2700 rpm except for 20 s, needs caution, source MADE
limit egt[3] at most 1600 F except for 3 min, needs caution, source MADE
"""


def card_of(ruleset: m.RuleSet) -> PilotCard:
    return pilot_card(ruleset, digest=content_digest(ruleset)[:16], tool="alertlang test")


def pages(ruleset: m.RuleSet, paper: str = "a4") -> list[str]:
    made = card_pages(card_of(ruleset), paper=paper)
    # Lines break where the paper ends; words do not.
    texts = [page.extract_text().replace("\u200b", "") for page in pypdf.PdfReader(io.BytesIO(made.pdf)).pages]
    found = [re.sub(r"\s+", " ", text) for text in texts]
    assert len(found) == made.pages
    return found


def type_sizes(pdf: bytes) -> set[float]:
    found: set[float] = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:

        def note(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
            if text.strip():
                found.add(round(abs(size * tm[3] * cm[3]), 1))

        page.extract_text(visitor_text=note)
    return found


@pytest.mark.alike
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("text", [BRAMBLE.read_text(encoding="utf-8"), CROWDED], ids=["bramble", "crowded"])
def test_one_page_lists_every_alert(text: str, paper: str) -> None:
    ruleset = loads(text, folder=BRAMBLE.parent).model
    (page,) = pages(ruleset, paper)
    alerts = [rule.alert for rule in ruleset.rules if rule.alert is not None]
    assert len(alerts) > 15
    for alert in alerts:
        assert alert.text.replace("{n}", "n") in page
    for level in m.Level:
        count = sum(1 for alert in alerts if alert.level is level)
        assert re.search(rf"{level.name} ?{count}\b", page)
    assert CAUTION in page
    assert content_digest(ruleset)[:16] in page


def test_what_it_says_of_an_alert_a_time_and_a_context() -> None:
    (page,) = pages(load(BRAMBLE).model)
    assert "OVERSPEED Engine speed above 2800 rpm – stays until it is acknowledged" in page
    assert "CHT n HOT Cylinder head temperature (each) above 460 F" in page
    assert "OIL PRESS LOW Oil pressure below 10 psi, unless not turning – comes after 3 s" in page
    assert "Engine speed above 2600 rpm: 5 min, then red" in page
    assert (
        "cold: oil temperature below 75 F, until oil temperature above 80 F (set after 5 s, cleared after 10 s)" in page
    )
    # What only a claim reads is not for the pilot.
    assert "in cruise" not in page


def test_ends_that_move_have_numbers() -> None:
    (page,) = pages(loads(MOVING).model)
    assert "Indicated airspeed (pitot) above vne at altitude (147 kt to 203 kt)" in page
    curve = "vne at altitude: by pressure altitude: 203 kt at 16000 ft, 147 kt at 30000 ft"
    assert f"{curve}; straight lines between, the end values beyond; 147 kt while that sensor has failed" in page
    # What a context reads is explained as well.
    assert "margin: vne at altitude - airspeed; from -103 kt to 203 kt" in page
    assert "apart: the highest EGT less the lowest; from 0 F to 1800 F" in page
    assert "egt rise: rise of EGT per minute; from 0 F to 600 F per minute" in page


def test_times_are_said_once_and_for_whom() -> None:
    card = card_of(loads(MOVING).model)
    assert card.times == (
        "EGT 3 above 1600 F: 2 min, then red",
        "Rpm above 2700 rpm: 20 s, then red",
        "Indicated airspeed (pitot) above vne at altitude (147 kt to 203 kt): at most 3 s (limit)",
        "EGT 3 above 1600 F: at most 3 min (limit)",
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_what_does_not_fit_says_so_and_loses_nothing(paper: str) -> None:
    ruleset = loads(TOO_MUCH).model
    found = pages(ruleset, paper)
    assert len(found) > 1
    whole = " ".join(found)
    assert f"This card has {len(found)} pages: it does not fit on one in type that can be read" in whole
    for number, page in enumerate(found, 1):
        assert f"page {number} of {len(found)}" in page
        assert CAUTION in page
    for rule in ruleset.rules:
        assert rule.alert is None or rule.alert.text in whole


@pytest.mark.alike
@pytest.mark.parametrize("text", [CROWDED, TOO_MUCH, MOVING], ids=["crowded", "too much", "moving"])
def test_type_can_be_read(text: str) -> None:
    sizes = type_sizes(card_pages(card_of(loads(text).model), paper="us-letter").pdf)
    assert min(sizes) >= SMALLEST >= 8
    assert max(sizes) <= 15


def test_lamps_say_how_they_go_out() -> None:
    (page,) = pages(loads(CROWDED).model)
    assert "MASTER WARNING: lit by any warning;" in page
    assert "acknowledge: ack" in page


def test_a_level_without_an_alert_says_so() -> None:
    card = pilot_card(
        loads(
            'rules "x" version 1\nquantity rpm from 0 to 9 rpm\nrpm is green\n'.replace(
                "rpm is", "rpm at least 0 rpm is"
            )
        ).model,
        digest="d",
        tool="t",
    )
    assert card.levels == (("warning", ()), ("caution", ()), ("advisory", ()))


def test_same_bytes_and_digest_whatever_the_layout() -> None:
    text = BRAMBLE.read_text(encoding="utf-8")
    first = loads(text, folder=BRAMBLE.parent).model
    again = loads("# more\n" + text.replace("\nrpm_green", "\n\n# why\nrpm_green"), folder=BRAMBLE.parent).model
    other = loads(
        text.replace("from 700 to 2600 rpm is green", "from 700 to 2590 rpm is green"), folder=BRAMBLE.parent
    ).model
    assert content_digest(first) == content_digest(again) != content_digest(other)
    assert card_pages(card_of(first)) == card_pages(card_of(again))


def test_the_command(tmp_path: Path) -> None:
    target = tmp_path / "card.pdf"
    result = CliRunner().invoke(app, ["pilot-card", str(BRAMBLE), "-o", str(target), "--paper", "letter"])
    assert (result.exit_code, result.stdout) == (0, f"wrote {target}\n")
    box = pypdf.PdfReader(target).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)
    assert CliRunner().invoke(app, ["pilot-card", str(BRAMBLE), "-o", str(tmp_path / "no" / "card.pdf")]).exit_code == 2
    assert CliRunner().invoke(app, ["pilot-card", str(BRAMBLE), "-o", str(tmp_path / "card.doc")]).exit_code == 2
    assert CliRunner().invoke(app, ["pilot-card", str(tmp_path / "none.alert"), "-o", str(target)]).exit_code == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["card.pdf"]


def test_the_command_says_that_it_is_several_pages(tmp_path: Path) -> None:
    rules, target = tmp_path / "much.alert", tmp_path / "card.pdf"
    # No card is made of rules with errors: what is wrong in them is mended, and they are as long as before.
    mended = (
        TOO_MUCH.replace("until any cht above 150 F", "until every cht below 90 F")
        .replace("cht[2] below", "cht[2] above")
        .replace("is green\n", "is green\ncht above 450 F is yellow\n")
    )
    rules.write_text(mended, encoding="utf-8")
    result = CliRunner().invoke(app, ["pilot-card", str(rules), "-o", str(target)])
    assert result.exit_code == 0
    said = " ".join(result.stdout.split())
    assert f"the card has {len(pypdf.PdfReader(target).pages)} pages, for it does not fit on one" in said


def test_values_are_those_of_the_panel() -> None:
    text = (
        'rules "r" version 1\nquantity cht from -40 to 600 F\ncht at most 460 F is green\n'
        'cht above 460 F is red with warning "HOT"\nwhen cht below 212 F then advisory "COLD"\n'
    )
    for gauge, hot, cold in (
        ("gauge cht, drawn as bar in C to 1 C\n", "above 237 C", "below 100 C"),
        ("gauge cht, drawn as bar\n", "above 460 F", "below 212 F"),
    ):
        made = pilot_card(loads(text + gauge).model, digest="", tool="")
        means = {line.text: line.means for _, lines in made.levels for line in lines}
        assert hot in means["HOT"]
        assert cold in means["COLD"]


SILENT = """rules "silent" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_pressure "Oil pressure" from 0 to 100 psi, step 1 psi
quantity cht[2] "Cylinder head temperature" from 0 to 600 F
switch flaps up, down
condition turning means rpm above 400 rpm
rpm at least 0 is green
oil_pressure at least 10 psi is green
when not turning then oil_pressure below 10 psi is unmarked
when turning then oil_pressure below 10 psi is red
"""


@pytest.mark.parametrize(
    ("more", "listed"),
    [
        # One that always comes, however late, is one.
        ('when turning and oil_pressure below 10 psi then warning "OIL" after 3 s\n', []),
        ('when turning and oil_pressure below 12 psi for more than 1 min then advisory "OIL"\n', []),
        ('when oil_pressure below 10 psi then warning "OIL"\n', []),
        ("", ["Oil pressure below 10 psi, when turning"]),
        # About something else.
        ('when rpm above 400 rpm then warning "RPM"\n', ["Oil pressure below 10 psi, when turning"]),
        (
            'when flaps is up and oil_pressure below 10 psi then warning "OIL"\n',
            ["Oil pressure below 10 psi, when turning (but for where OIL comes)"],
        ),
        (
            'when turning and oil_pressure below 10 psi then warning "OIL" unless flaps is down\n',
            ["Oil pressure below 10 psi, when turning (but for where OIL comes)"],
        ),
        # The elements of an array are looked at one by one.
        (
            'when oil_pressure below 10 psi then warning "OIL"\ncht above 500 F is red\n'
            'cht[1] above 500 F is red with warning "CHT 1"\n',
            ["Cylinder head temperature (each) above 500 F (but for where CHT 1 comes)"],
        ),
        # A sensor that has failed, and a context that asks for it.
        (
            'when oil_pressure below 10 psi then warning "OIL"\nrpm failed is red\n',
            ["Engine speed sensor failed"],
        ),
        (
            'when oil_pressure below 10 psi then warning "OIL"\nrpm failed is red\n'
            'when rpm failed then caution "RPM"\n',
            [],
        ),
    ],
)
def test_red_without_an_alert_is_red_in_which_none_comes(more: str, listed: list[str]) -> None:
    assert list(pilot_card(loads(SILENT + more).model, digest="d", tool="t").colours) == listed


def test_a_latched_alert_is_not_said_to_go_out_by_itself() -> None:
    text = (
        'rules "lit" version 1\nquantity rpm from 0 to 3500 rpm\nrpm at most 2700 rpm is green\n'
        'rpm above 2700 rpm is red with warning "RPM" latched\n'
        'when rpm above 2600 rpm then caution "SOON"\n'
        'lamp "MASTER" shows warning and caution, sequence A without lock-in, acknowledged by ack\n'
        'lamp "SOON LAMP" shows caution, sequence A without lock-in, acknowledged by ack\n'
    )
    lamps = dict(pilot_card(loads(text).model, digest="d", tool="t").lamps)
    assert "but for RPM: that stays until it is acknowledged" in lamps["MASTER"]
    assert "goes out by itself; " in lamps["SOON LAMP"]


def test_rates_have_their_whole_unit() -> None:
    text = (
        'rules "rates" version 1\nquantity cht "CHT" from 0 to 600 F\n'
        "let cooling = fall of cht per min, from 0 to 200 F\n"
        'cooling from 50 to 60 F is yellow with caution "COOLS"\ncooling above 60 F is red with warning "FAST"\n'
        "cooling below 50 F is green\n"
    )
    card = pilot_card(loads(text).model, digest="d", tool="t")
    said = [line.means for _, lines in card.levels for line in lines]
    assert said == ["Cooling above 60 F per minute", "Cooling from 50 F to 60 F per minute"]
    assert card.computed == (("cooling", "fall of CHT per minute; from 0 F to 200 F per minute"),)
