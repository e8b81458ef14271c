"""Lamps: what the published tables do not tell, because they have one alarm and one button."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.meaning.readings import Sample
from alertlang.meaning.stepper import Stepper
from alertlang.model.load import parse_ruleset

RULES = """rules "t" version 1
quantity rpm from 0 to 3000 rpm
quantity cht[2] from 0 to 600 F
rpm above 2000 is red with warning "HIGH"
hot: cht above 400 is red with warning "CHT {n} HOT" latched
lamp "W" shows warning, sequence SEQ
"""


def _lights(sequence: str, *steps: tuple[int, int, int, str]) -> list[str]:
    """The lamp at samples of rpm, the two cht, and the button that is down."""
    text = RULES.replace("SEQ", sequence)
    ruleset = parse_ruleset(text.encode(), shown="t.alert", folder=Path()).ruleset
    assert ruleset is not None
    stepper, found = Stepper(ruleset), []
    for time, (rpm, one, two, button) in enumerate(steps):
        readings = {"rpm": Fraction(rpm), "cht[1]": Fraction(one), "cht[2]": Fraction(two)}
        pressed = frozenset({button}) if button else frozenset()
        found.append(stepper.step(Sample(Fraction(time), readings, {}, pressed=pressed)).lamps["W"].light)
    return found


@pytest.mark.parametrize(
    "sequence",
    ["A, acknowledged by ack", "A without lock-in, acknowledged by ack", "R, acknowledged by ack, reset by rst"],
)
def test_a_new_alert_lights_an_acknowledged_lamp_again(sequence: str) -> None:
    steps = [(2500, 300, 300, ""), (2500, 300, 300, "ack"), (2500, 300, 450, ""), (2500, 300, 450, "ack")]
    assert _lights(sequence, *steps) == ["flashing", "steady", "flashing", "steady"]


def test_a_press_is_not_for_what_comes_up_with_it() -> None:
    steps = [(2500, 300, 300, ""), (2500, 450, 300, "ack")]
    assert _lights("A, acknowledged by ack", *steps) == ["flashing", "flashing"]


def test_a_held_button_is_one_press() -> None:
    steps = [(2500, 300, 300, ""), (2500, 300, 300, "ack"), (2500, 450, 300, "ack"), (2500, 450, 300, "ack")]
    assert _lights("A, acknowledged by ack", *steps) == ["flashing", "steady", "flashing", "flashing"]


def test_the_button_of_a_lamp_acknowledges_a_latched_alert() -> None:
    steps = [(1000, 450, 300, ""), (1000, 300, 300, ""), (1000, 300, 300, "ack"), (1000, 300, 300, "")]
    assert _lights("A without lock-in, acknowledged by ack", *steps) == ["flashing", "flashing", "off", "off"]


def test_an_unknown_button_is_refused() -> None:
    with pytest.raises(ValueError, match="no button zzz"):
        _lights("A, acknowledged by ack", (1000, 300, 300, "zzz"))
