"""Lamps against published rules on acknowledging: ships' alert standards, air traffic displays, 14 CFR 25.1322.

Sources, read on single pages and told in own words:

- 14 CFR 25.1322(a)(3): an alert is removed when its condition no longer exists; (c)(3): each occurrence of an attention
  cue can be acknowledged and suppressed. That a second occurrence therefore alerts anew is an inference.
  https://self-law.org/code/us/cfr/t14/s%C2%A7%2025.1322
- IMO MSC.252(83) 20.2.3, .6 to .8: an alarm that is not acknowledged flashes and sounds; one that is, is steady and
  silent until its cause is gone. https://www.imorules.com/GUID-6099A467-810A-4EF5-9FED-5364DD4E8398.html
- IMO MSC.302(87) 7.3.7: what is seen of an alarm that is not acknowledged goes on until it is; 7.3.8: what is heard of
  it ends when it is acknowledged or its cause is gone. https://imorules.com/GUID-19D6A1AD-A8CF-4D55-A7C1-973B33E9B300.html
- IMO MSC.191(79) 5.5.2 to 5.5.4: flashing is for alarms that are not acknowledged.
  https://imorules.com/GUID-80427296-2B32-4BE2-A969-02AD385152AF.html 5.7.1: alarm, red, flashing and with a sound;
  acknowledged, red and silent; normal, nothing and silent.
  https://imorules.com/GUID-360DE6C2-D5F3-4B56-A1A5-B4DEE2BF0A94.html
- IMO, bridge layout, 5.4.1.7: an alarm can be cancelled only when its cause is gone.
  https://imorules.com/GUID-D167FE54-10C4-4F9D-A483-5CF93D8F5CE6.html
- FAA Order 7210.3, 3-9-1: blinking is not acknowledged, steady is acknowledged.
  https://www.faa.gov/air_traffic/publications/atpubs/fac/0309.html

Where a lamp does what ISA-18.1 was not read to ask for, it is our choice: with M an alarm that was acknowledged and
comes back before the reset stays acknowledged, R's ringback is a slow flash with a sound of its own. These places are
told below as those where a rule is not kept, and nothing is taken for the standard's.

What of them has nothing here to be held against, and why:

- MSC.252(83) 20.2.5, MSC.302(87) 7.3.5 (a sound that was silenced comes back after 30 s without an acknowledgement): no
  lamp has a button that silences only, which in ISA-18.1 is an option of its own.
- MSC.302(87) 7.3.4 (sounds of warnings and alarms must not be confused), the yellow and silent warning of MSC.191(79)
  5.7.1: the language says when something sounds, not how, and of every level alike.
- MSC.302(87) 5.2 (one situation, not more than one alert): what one situation is, is for the author to say.
- A.1021(26) table 7.1.2 (an alarm not acknowledged within 2 min becomes another): no statement of the language can read
  whether an alert has been acknowledged.
- IEC 60601-1-8 (flashes per second): not read, and the language names no rate.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.api import loads
from alertlang.cli.app import app
from alertlang.meaning.readings import Sample
from alertlang.model import ruleset as m
from tests.helpers.timed import load, stepped
from tests.outside.test_isa_sequences import WORDS, ruleset_of
from tests.outside.test_isa_sequences import stepped as lamp_over

SEQUENCES = {
    "A": "A with lock-in, acknowledged by ack",
    "A without lock-in": "A without lock-in, acknowledged by ack",
    "M": "M, acknowledged by ack, reset by rst",
    "R": "R, acknowledged by ack, reset by rst",
}
RULESETS = {name: ruleset_of(words) for name, words in SEQUENCES.items()}

# Whether the process is abnormal, whether it has been acknowledged since it last became so, light, sound.
Step = tuple[bool, bool, str, str]


@pytest.fixture(scope="module", params=SEQUENCES)
def sequence(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def steps(sequence: str) -> list[list[Step]]:
    """Every word of up to five inputs; a step is what there is after an input, from the first time that the process is
    abnormal on."""
    words = sorted({word[:5] for word in WORDS if "up" in word[:5]})
    return [told(RULESETS[sequence], word) for word in words]


def told(ruleset: m.RuleSet, word: tuple[str, ...]) -> list[Step]:
    found, abnormal, acknowledged = [], False, True
    for event, (light, sound) in zip(word, lamp_over(ruleset, word), strict=True):
        abnormal = {"up": True, "dn": False}.get(event, abnormal)
        acknowledged = {"up": False, "ACK": True}.get(event, acknowledged)
        found.append((abnormal, acknowledged, light, sound))
    return found[word.index("up") :]


def breaking(steps: list[list[Step]], rule: object) -> list[Step]:
    return [step for word in steps for step in word if not rule(*step)]  # type: ignore[operator]


def test_not_acknowledged_flashes_and_sounds(sequence: str, steps: list[list[Step]]) -> None:
    """MSC.252(83) 20.2.3 and the order on air traffic displays. While its cause is there, every sequence does; M, by
    our choice, not where an alarm that was acknowledged comes back before the reset."""
    wrong = breaking(steps, lambda up, acked, light, sound: not up or acked or (light, sound) == ("flashing", "alarm"))
    assert set(wrong) == ({(True, False, "steady", "silent")} if sequence == "M" else set())


def test_acknowledged_is_steady_and_silent_until_the_cause_is_gone(steps: list[list[Step]]) -> None:
    """MSC.252(83) 20.2.6 to 20.2.8; bridge layout 5.4.1.7: no button puts it out before."""
    assert not breaking(
        steps, lambda up, acked, light, sound: not (up and acked) or (light, sound) == ("steady", "silent")
    )
    assert not breaking(steps, lambda up, acked, light, sound: not up or light != "off")


def test_seen_until_acknowledged(sequence: str, steps: list[list[Step]]) -> None:
    """MSC.302(87) 7.3.7: all but A without lock-in. It and 25.1322(a)(3) ask for the opposite."""
    wrong = breaking(steps, lambda up, acked, light, sound: acked or light != "off")
    assert set(wrong) == ({(False, False, "off", "silent")} if sequence == "A without lock-in" else set())


def test_heard_until_acknowledged_or_gone(sequence: str, steps: list[list[Step]]) -> None:
    """MSC.302(87) 7.3.8: A without lock-in alone; in ISA-18.1, second hand, a locked-in alarm goes on sounding."""
    wrong = breaking(steps, lambda up, acked, light, sound: (up and not acked) or sound != "alarm")
    assert set(wrong) == (set() if sequence == "A without lock-in" else {(False, False, "flashing", "alarm")})


def test_flashing_is_for_what_is_not_acknowledged(sequence: str, steps: list[list[Step]]) -> None:
    """MSC.191(79) 5.5.2: all but ringback, whose slow flash, our choice, says that something is gone."""
    wrong = breaking(steps, lambda up, acked, light, sound: not acked or "flashing" not in light)
    assert set(wrong) == ({(False, True, "slow flashing", "ringback")} if sequence == "R" else set())


def test_removed_when_its_condition_has_ended(sequence: str, steps: list[list[Step]]) -> None:
    """25.1322(a)(3), acknowledged or not: A without lock-in alone agrees, and the check says the same."""
    lit = breaking(steps, lambda up, acked, light, sound: up or (light, sound) == ("off", "silent"))
    text = f"""rules "t" version 1
quantity rpm from 0 to 3000 rpm
rpm at most 2000 is green
rpm above 2000 is red with warning "HIGH"
lamp "IT" shows warning, sequence {SEQUENCES[sequence]}
follow "14 CFR 25.1322(a)(3)"
"""
    said = [one for one in loads(text).check().findings if one.code.name == "lingering-alert"]
    assert bool(lit) is bool(said) is (sequence != "A without lock-in")


def test_the_page_says_which_sequence_agrees(capsys: pytest.CaptureFixture[str]) -> None:
    """As `alertlang explain` shows it; and what its two examples have is what the steps above show."""
    app(["explain", "lingering-alert"], standalone_mode=False)
    page = " ".join(capsys.readouterr().out.split())
    assert "A without lock-in (its option 4) is the one that agrees with 14 CFR 25.1322(a)(3)" in page
    example, corrected = page.split(" Example ")[1].split(" Corrected ")
    assert "sequence A with lock-in" in example
    assert "sequence A without lock-in" in corrected


def test_a_second_occurrence_alerts_anew(sequence: str) -> None:
    """25.1322(c)(3): up, acknowledged, gone, up again. Only M leaves out the second alarm, until it is reset: our
    choice, and against this rule."""
    first, acknowledged, gone, again = lamp_over(RULESETS[sequence], ("up", "ACK", "dn", "up"))
    assert first == ("flashing", "alarm")
    assert acknowledged == ("steady", "silent")
    assert (gone == ("off", "silent")) is (sequence not in {"M", "R"})
    assert again == (("steady", "silent") if sequence == "M" else ("flashing", "alarm"))
    reset = lamp_over(RULESETS[sequence], ("up", "ACK", "dn", "RST", "up"))[-1]
    assert reset == ("flashing", "alarm")


# MSC.191(79) 5.7.1 without its row for warnings: colour, light, sound.
TABLE = [
    ("normal", 1000, None, ("green", "off", "silent")),
    ("alarm, not acknowledged", 2500, None, ("red", "flashing", "alarm")),
    ("alarm, acknowledged", 2500, "ack", ("red", "steady", "silent")),
    ("normal again", 1000, None, ("green", "off", "silent")),
]


def test_the_table_of_colour_light_and_sound() -> None:
    """Green for normal is the table's own option."""
    rules = load(
        'rules "t" version 1\nquantity rpm from 0 to 3000 rpm\nrpm at most 2000 is green\n'
        'rpm above 2000 is red with warning "HIGH"\nlamp "IT" shows warning, sequence A, acknowledged by ack\n'
    )
    samples = [
        Sample(Fraction(k), {"rpm": Fraction(rpm)}, {}, pressed=frozenset({button} if button else ()))
        for k, (_, rpm, button, _) in enumerate(TABLE)
    ]
    shown = stepped(rules, samples)
    colours = [one.colours["rpm", None] for one in shown]
    assert [
        (colour and colour.name.lower(), one.lamps["IT"].light, one.lamps["IT"].sound)
        for colour, one in zip(colours, shown, strict=True)
    ] == [row for *_, row in TABLE]
