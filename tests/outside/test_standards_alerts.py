"""The alert pack against 14 CFR 25.1322, 27.1322 and MIL-STD-411F.

Source, in own words:

25.1322(a)(3), read in a reprint: an alert is removed when its condition no longer exists. (c)(2), read: warnings and
cautions come with cues for at least two senses. (e), second hand: warnings red, cautions amber or yellow, advisories
any colour but red or green; nothing in it keeps yellow for cautions. All since Amdt 25-131, in force from 2011-01-03.
27.1322 (Amdt 27-11, 20 December 1976) and 23.1322 (Amdt 23-43, 9 April 1993), read: warning *lights* red,
caution lights amber, safe operation green, any other light another colour that differs enough from these, unless
otherwise approved.
https://law.lawstack.com/cfr/14/27.1322/
MIL-STD-411F, 5.2.5.4, read on single pages: red for warnings, yellow for cautions, for advisories a third colour, green
preferred, blue and white allowed.
"""

from __future__ import annotations

import itertools
import re

import pytest

from alertlang.api import loads, pages
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding

HEAD = 'rules "alerts" version 1\nquantity rpm from 0 to 3500 rpm, step 10 rpm\nswitch horn off, on\n'


def found(text: str, name: str) -> list[Finding]:
    return [f for f in loads(HEAD + text).check().findings if f.code.name == name]


# ---- colours

COLOURS = ("red", "yellow", "green", "white", "blue")
CIVIL = {
    "warning": {"red"},
    # Amber; red too, for there it may be the mark of a limit, which is another rule.
    "caution": {"yellow", "red"},
    "advisory": {"white", "blue"},
}
ALERTS = {**CIVIL, "advisory": {"yellow", "white", "blue"}}
MILITARY = {**CIVIL, "advisory": {"green", "white", "blue"}}
BOTH = [
    *((rule, ALERTS) for rule in ("14 CFR 25.1322", "25.1322(e)")),
    *((rule, CIVIL) for rule in ("27.1322", "23.1322")),
]


@pytest.mark.parametrize(("rule", "allowed"), [*BOTH, ("MIL-STD-411F", MILITARY), ("MIL-STD-411F 5.2.5.4", MILITARY)])
@pytest.mark.parametrize(("level", "colour"), list(itertools.product(CIVIL, COLOURS)))
def test_colours_by_level(rule: str, allowed: dict[str, set[str]], level: str, colour: str) -> None:
    text = f'rpm above 2750 is {colour} with {level} "RPM"\nfollow "{rule}"\n'
    said = found(text, "wrong-alert-colour")
    assert len(said) == (0 if colour in allowed[level] else 1)
    assert {f.severity for f in said} <= {Severity.ERROR}
    of_lights = "27.1322 and 23.1322 say so of lights, unless otherwise approved"
    assert all((of_lights in f.message) is rule.endswith(("27.1322", "23.1322")) for f in said)


@pytest.mark.parametrize("rule", ["", "25.1322(e)", "MIL-STD-411F"])
def test_that_yellow_is_for_cautions_is_a_rule_of_the_house(rule: str) -> None:
    """colour-level says it whatever is followed, and names no regulation for it."""
    follow = f'follow "{rule}"\n' if rule else ""
    for level, colour in (("advisory", "yellow"), ("advisory", "red"), ("caution", "green"), ("warning", "yellow")):
        [one] = found(f'rpm above 2750 is {colour} with {level} "RPM"\n{follow}', "colour-level")
        assert one.severity is Severity.ERROR
        for text in (one.message, *one.advice, pages()["colour-level"]):
            assert not re.search(r"CFR|MIL-|\d\d\.\d{4}|regulation", text)


@pytest.mark.parametrize(("level", "colour"), list(itertools.product(CIVIL, COLOURS)))
def test_without_follow_only_a_green_advisory_is_spoken_of(level: str, colour: str) -> None:
    """What else is wrong is an error of its own."""
    said = found(f'rpm above 2750 is {colour} with {level} "RPM"\n', "wrong-alert-colour")
    assert [f.severity for f in said] == ([Severity.NOTE] if (level, colour) == ("advisory", "green") else [])


def test_the_choice_between_the_two_is_which_one_is_followed() -> None:
    text = 'rpm above 2750 is green with advisory "RPM"\n'
    assert found(text + 'follow "MIL-STD-411F"\n', "wrong-alert-colour") == []
    [one] = found(text + 'follow "27.1322"\n', "wrong-alert-colour")
    assert (
        "14 CFR 27.1322: green is not for advisories; 27.1322 and 23.1322 say so of lights, unless otherwise approved"
        in one.message
    )
    # Who follows both is held to both.
    [one] = found(text + 'follow "MIL-STD-411F"\nfollow "27.1322"\n', "wrong-alert-colour")
    assert one.severity is Severity.ERROR
    [one] = found(text + 'follow "25.1322(e)"\n', "wrong-alert-colour")
    assert "14 CFR 25.1322(e) [text read second hand]" in one.message


def test_alerts_alone_and_bands_without_one_have_no_such_colour() -> None:
    text = (
        'rpm at most 2750 is green\nrpm above 2750 is white\nwhen rpm above 3000 then warning "RPM"\nfollow "25.1322"\n'
    )
    assert found(text, "wrong-alert-colour") == []


# ---- removed when the condition is gone


@pytest.mark.parametrize(
    ("statement", "count"),
    [
        ('rpm above 2750 is red with warning "RPM" latched', 1),
        ('rpm above 2750 is red with warning "RPM" after 1 s latched', 1),
        ('when rpm above 2750 then advisory "RPM" latched', 1),
        ('rpm above 2750 is red with warning "RPM" after 1 s', 0),
        ('rpm above 2750 for more than 5 s is red with warning "RPM"', 0),
        ('when horn is on then caution "RPM"', 0),
    ],
)
def test_latched_alerts(statement: str, count: int) -> None:
    said = found(f'{statement}\nfollow "14 CFR 25.1322(a)(3)"\n', "lingering-alert")
    assert [f.severity for f in said] == [Severity.ERROR] * count
    # Nothing followed, or another paragraph.
    for more in ("", 'follow "25.1322(c)(2)"\n'):
        assert [f.severity for f in found(f"{statement}\n{more}", "lingering-alert")] == [Severity.NOTE] * count


# ---- two senses


@pytest.mark.parametrize(
    ("statements", "count"),
    [
        ("rpm above 2750 is red", 1),
        ('rpm above 2750 is red with warning "RPM"', 0),
        ('rpm above 2750 is red with caution "RPM"', 0),
        # An alert on its own that reads the quantity counts, where it is up.
        ('rpm above 2750 is red\nwhen rpm above 2750 then warning "RPM"', 0),
        ('rpm above 2750 is red\nwhen rpm above 2700 then caution "RPM"', 0),
        ('rpm above 2750 is red\nwhen rpm above 2760 then warning "RPM"', 1),
        ('rpm above 2750 is red\nwhen rpm above 2750 and horn is on then warning "RPM"', 1),
        ('rpm above 2750 is red\nwhen rpm above 2750 then warning "RPM" unless horn is off', 1),
        ('rpm above 2750 is red\nwhen horn is on then warning "HORN"', 1),
        # An advisory is no cue of that kind; a delay is no question of senses.
        ('rpm above 2750 is red\nwhen rpm above 2750 then advisory "RPM"', 1),
        ('rpm above 2750 is red\nwhen rpm above 2750 then warning "RPM" after 5 s', 0),
        ('rpm above 2750 is red\nwhen rpm above 2750 for more than 5 s then warning "RPM"', 0),
        # Yellow marks ranges too.
        ("rpm above 2750 is yellow", 0),
    ],
)
def test_red_with_nothing_but_its_colour(statements: str, count: int) -> None:
    assert len(found(f'{statements}\nfollow "25.1322(c)(2)"\n', "one-sense")) == count
    assert found(f"{statements}\n", "one-sense") == []
    assert found(f'{statements}\nfollow "25.1322(a)(3)"\n', "one-sense") == []
