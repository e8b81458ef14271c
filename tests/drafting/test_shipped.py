"""A draft of every shipped profile, and of an aircraft put together, is canonical and checks clean."""

from __future__ import annotations

import tempfile
from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import draft, loads
from alertlang.drafting.style import Style
from alertlang.findings.codes import Severity
from alertlang.fit.run import display_findings
from alertlang.format.text import format_text
from alertlang.model.display import load_display
from alertlang.model.files import shipped_displays, shipped_profiles
from alertlang.text.source import Source

AIRCRAFT = [
    ("continental-iof-240-b", "cessna-150m", "electrical-14v", "fuel-gravity-carburettor"),
    ("continental-iof-240-b", "beechcraft-a36tc", "electrical-28v", "fuel-injected-system"),
    ("austro-ae300", "diamond-da40-ng"),
]


def assert_clean(profiles: tuple[str, ...], style: Style | None = None) -> str:
    made = draft(profiles, style=style)
    assert made.findings == ()
    assert format_text(Source("draft", made.text)) == made.text
    report = loads(made.text).check()
    left = [f for f in report.findings if f.severity > Severity.NOTE and f.accepted is None]
    assert [(f.code.name, f.message) for f in left] == []
    assert [claim.label for claim in report.claims if claim.verdict.value != "proved"] == []
    return made.text


@pytest.mark.alike
@pytest.mark.parametrize("profile", shipped_profiles())
def test_a_shipped_profile(profile: str) -> None:
    text = assert_clean((profile,))
    model = loads(text).model
    alerts = [band.alert.text for band in model.bands if band.alert is not None]
    assert all(len(alert.replace("{n}", "1")) <= 12 for alert in alerts)
    assert len(set(alerts)) == len(alerts), "each text is for one thing"
    # Every statement that asks for a mark is named with its source, or why it needs none is seen in the bands.
    for one in model.ranges:
        if one.kind == "limit":
            assert f"# {one.label}:" in text


@pytest.mark.parametrize("profiles", AIRCRAFT, ids=" ".join)
def test_an_aircraft(profiles: tuple[str, ...]) -> None:
    assert_clean(profiles)


STYLES = [Style(start_delay=False), Style(between="unmarked"), Style(high_cautions=True), Style(failed_cautions=True)]


@pytest.mark.alike
@pytest.mark.parametrize("style", STYLES, ids=str)
def test_a_style(style: Style) -> None:
    assert_clean(("austro-ae300",), style)
    assert_clean(("continental-iof-240-b",), style)


@pytest.mark.parametrize("style", [Style(), Style(delay=Fraction(60))], ids=str)
def test_a_display_has_time_for_its_scan(style: Style) -> None:
    made = draft(("continental-iof-240-b",), style=style)
    assert made.findings == ()
    assert any(band.after for band in loads(made.text).model.bands)
    for path in shipped_displays().values():
        box = load_display(path).display
        assert box is not None
        late = [f for f in display_findings(loads(made.text).model, box) if f.code.name == "late-on-display"]
        assert late == [], path
    assert "0.5 s for the display's scan" in " ".join(made.text.replace("\n#  ", "").split())


def test_a_delay_leaves_half_of_a_short_limit() -> None:
    text = """profile "quick" version 1
source NOTE common practice
quantity volts "Volts" from 0 to 20 V, step 0.1 V, source NOTE
limit volts at most 15 V, needs warning within 0.6 s, source NOTE
"""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "quick.profile"
        path.write_text(text)
        made = draft((str(path),), style=Style(delay=Fraction(60)))
    assert made.findings == ()
    assert " after 0.3 s" in made.text


def test_a_delay_is_no_longer_than_a_limit_allows() -> None:
    made = draft(("continental-iof-240-b",), style=Style(delay=Fraction(60), start_delay=False))
    assert made.findings == ()
    assert {b.label: b.after for b in loads(made.text).model.bands if b.alert and b.colour.word == "red"}[
        "rpm_limit_red"
    ] == Fraction(3, 2)


def test_the_same_bytes_again() -> None:
    assert draft(("beechcraft-a36tc",)).text == draft(("beechcraft-a36tc",)).text
