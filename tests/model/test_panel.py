"""Lamps, gauges and inputs: what they become, and every mistake in them."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from alertlang.model import ruleset as m
from alertlang.model.load import Loaded

Rules = Callable[[str], Loaded]


def test_what_a_panel_becomes(rules: Rules) -> None:
    loaded = rules(
        'fast: rpm above 2700 is red with warning "FAST"\n'
        'lamp "W" shows caution and fast, sequence R, acknowledged by ack, reset by rst\n'
        'gauge cht labelled "CHT {n}", drawn as digits in C to 0.5, sensor "K", channels "1", "2", "3", "4"\n'
        "gauge rpm\n"
        'input canopy labelled "CANOPY", wired to ground when open, channel "D3"'
    )
    assert loaded.ruleset is not None, loaded.findings
    lamp = loaded.ruleset.lamps[0]
    assert (lamp.levels, lamp.labels, lamp.sequence) == ((m.Level.CAUTION,), ("fast",), m.Sequence.R)
    assert loaded.ruleset.buttons == ("ack", "rst")
    gauges = loaded.ruleset.gauges
    assert [gauge.quantity for gauge in gauges] == ["cht", "rpm"]
    assert (gauges[0].resolution, gauges[0].channels) == (Fraction(1, 2), ("1", "2", "3", "4"))
    one = loaded.ruleset.inputs[0]
    assert (one.switch, one.wired, one.position, one.channel) == ("canopy", "ground", "open", "D3")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('lamp "W" shows fsat, sequence A without lock-in', "unknown-name"),
        ('lamp "W" shows warning', "bad-value"),
        ('lamp "W" shows warning, sequence Q, acknowledged by ack', "unknown-name"),
        ('lamp "W" shows warning, sequence A', "bad-value"),
        ('lamp "W" shows warning, sequence M, acknowledged by ack', "bad-value"),
        ('lamp "W" shows warning, sequence R without lock-in, acknowledged by ack, reset by rst', "bad-value"),
        ('lamp "W" shows warning, sequence A, acknowledged by ack, reset by rst', "bad-value"),
        ('lamp "W" shows warning, sequence M, acknowledged by ack, reset by ack', "bad-value"),
        ('lamp "W" shows warning, sequence A, acknowledged by rpm', "wrong-kind"),
        ('lamp "W" shows redline, sequence A, acknowledged by ack', "wrong-kind"),
        ("gauge rmp", "unknown-name"),
        ("gauge canopy", "wrong-kind"),
        ("gauge rpm, drawn as dial in psi", "wrong-dimension"),
        ("gauge rpm\ngauge rpm", "duplicate-name"),
        ("gauge rpm, drawn as dial to 0", "bad-value"),
        ('gauge cht, channels "1", "2"', "bad-value"),
        ('gauge rpm, channel "1"\ngauge oil_temp, channel "1"', "duplicate-name"),
        ('gauge rpm labelled "X {n}"', "bad-value"),
        ("input canopy, wired to ground when shut", "unknown-name"),
        ("input rpm", "wrong-kind"),
    ],
)
def test_each_mistake_is_one_finding(rules: Rules, text: str, code: str) -> None:
    loaded = rules(text)
    assert len(loaded.findings) == 1, [f.message for f in loaded.findings]
    assert loaded.findings[0].where is not None
    assert loaded.findings[0].advice
    assert loaded.findings[0].code.name == code, loaded.findings[0].message


@pytest.mark.parametrize(("name", "advice"), [("a", "write A"), ("q", "the sequences are A, M and R")])
def test_a_sequence_in_small_letters_is_known_by_its_own(rules: Rules, name: str, advice: str) -> None:
    [found] = rules(f'lamp "W" shows warning, sequence {name}, acknowledged by ack').findings
    assert found.advice == (advice,)
