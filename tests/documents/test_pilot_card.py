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
from alertlang.documents.pilot_card import pilot_card
from alertlang.documents.typeset import PAPERS, typeset
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


def pages(ruleset: m.RuleSet, paper: str = "a4") -> list[str]:
    card = pilot_card(ruleset, digest=content_digest(ruleset)[:16], tool="alertlang test")
    (data,) = typeset("pilot_card.typ", "card", card.data(), paper=paper)
    # Lines break where the paper ends; words do not.
    return [re.sub(r"\s+", " ", page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


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
    cards = [pilot_card(one, digest=content_digest(one), tool="t").data() for one in (first, again)]
    assert typeset("pilot_card.typ", "card", cards[0]) == typeset("pilot_card.typ", "card", cards[1])


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
