"""The markings pack against 14 CFR 25.1549, over instruments of all shapes.

Source: 14 CFR 25.1549 (Amdt 25-40, 42 FR 15044, 17 March 1977), read in an online reprint; 27.1549 (small rotorcraft)
had the same four items (Amdt 27-29, 59 FR 47768, 16 September 1994), read in a reprint of the edition of 2019. In own
words:

(a) each maximum and, where there is one, minimum safe operating limit has a red line;
(b) each normal range has a green arc, which does not reach past the safe limits;
(c) each takeoff and each precautionary range has a yellow arc;
(d) each speed range restricted because of vibration has red arcs.

27.1549(b) since Amdt 27-51 (88 FR 8738, 10 February 2023), read second hand in the edition of 1 January 2024, asks for
a green or an unmarked range and says nothing of where it ends. 23.1549 is from memory: that it is taken to say the same
as 25.1549 is tested here, not that it does.

Which finding each mistake must give follows from these four alone. Who owns a shared edge the rule does not say, so
marks are tried with it and without.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.findings.codes import Severity

PACK = {"green-past-limit": "b", "unmarked-limit": "a", "takeoff-not-yellow": "c", "restricted-not-red": "d"}
some = settings(max_examples=30)
steps = st.integers(3, 12)


@dataclass(frozen=True)
class Dial:
    """Numbers of an engine speed indicator in steps of 10 rpm, each above the one before."""

    minimum: int
    restricted: tuple[int, int]
    continuous: int
    takeoff: int
    top: int
    inclusive: bool

    def limits(self) -> list[str]:
        first, last = self.restricted
        return [
            f"least: limit rpm at least {self.minimum}0, source TC",
            f"shaking: avoid rpm from {first}0 to {last}0 except for 10 s, source TC",
            f"power: limit rpm at most {self.continuous}0 except for 5 min, source TC",
            f"redline: limit rpm at most {self.takeoff}0, source TC",
        ]

    def bands(self) -> dict[str, str]:
        """The marks that the rule asks for, by label."""
        first, last = self.restricted
        above, below = ("at least", "at most") if self.inclusive else ("above", "below")
        return {
            "red_low": f"rpm {below} {self.minimum}0 is red",
            "green_low": f"rpm from {self.minimum}0 to {first}0 is green",
            "red_arc": f"rpm from {first}0 to {last}0 is red",
            "green_high": f"rpm from {last}0 to {self.continuous}0 is green",
            "yellow": f"rpm from {self.continuous}0 to {self.takeoff}0 is yellow",
            "red_late": f"rpm above {self.continuous}0 for more than 5 min is red",
            "red_high": f"rpm {above} {self.takeoff}0 is red",
        }


@st.composite
def dials(draw: st.DrawFn) -> Dial:
    minimum = draw(steps)
    first = minimum + draw(steps)
    last = first + draw(steps)
    continuous = last + draw(steps)
    takeoff = continuous + draw(steps)
    return Dial(minimum, (first, last), continuous, takeoff, takeoff + draw(steps), draw(st.booleans()))


def following(rule: str) -> str:
    """The statement for a rule as it is here, `27.1549(b)` or `27.1549(b) as of 2001-05-10`."""
    name, as_of, day = rule.partition(" as of ")
    return f'follow "{name}"{as_of}{day}'


def found(dial: Dial, bands: dict[str, str], *follows: str) -> dict[str, set[str]]:
    """Findings of the pack by name, each with the limits they are about; all must be errors exactly when followed."""
    text = "\n".join(
        [
            'rules "dial" version 1',
            'source TC "a type certificate data sheet drawn at random"',
            f"quantity rpm from 0 to {dial.top}0 rpm, step 10 rpm",
            *dial.limits(),
            *(f"m_{label}: {band}" for label, band in bands.items()),
            *(following(follow) for follow in follows),
        ]
    )
    said: dict[str, set[str]] = {}
    for one in loads(text + "\n").check().findings:
        if one.code.name in PACK:
            assert one.severity is (Severity.ERROR if follows else Severity.NOTE), one.message
            said.setdefault(one.code.name, set()).add(str(one.limit))
    return said


@some
@given(dials(), st.sampled_from(["25.1549", "27.1549", "27.1549 as of 2001-05-10", "23.1549"]))
def test_marks_as_the_rule_has_them_are_clean(dial: Dial, rule: str) -> None:
    assert found(dial, dial.bands(), rule) == {}
    assert found(dial, dial.bands()) == {}


@some
@given(dials(), st.integers(1, 2))
def test_a_red_that_begins_early_is_not_at_the_limit(dial: Dial, early: int) -> None:
    """(a), maximum."""
    bands = dial.bands()
    bands["red_high"] = f"rpm above {dial.takeoff - early}0 is red"
    bands["yellow"] = f"rpm from {dial.continuous}0 to {dial.takeoff - early}0 is yellow"
    assert found(dial, bands, "25.1549(a)") == {"unmarked-limit": {"redline"}}
    assert found(dial, bands) == {"unmarked-limit": {"redline"}}


@some
@given(dials())
def test_a_red_that_ends_late_is_not_at_the_minimum(dial: Dial) -> None:
    """(a), minimum."""
    bands = dial.bands()
    bands["red_low"] = f"rpm below {dial.minimum + 1}0 is red"
    bands["green_low"] = f"rpm from {dial.minimum + 1}0 to {dial.restricted[0]}0 is green"
    assert found(dial, bands, "25.1549") == {"unmarked-limit": {"least"}}


@some
@given(dials())
def test_a_red_that_begins_late_has_green_or_no_mark(dial: Dial) -> None:
    """(a) and (b): green goes up to where red now begins."""
    bands = dial.bands()
    late = dial.takeoff + 1
    bands["red_high"] = f"rpm above {late}0 is red"
    bands["too_green"] = f"rpm from {dial.takeoff}0 to {late}0 is green"
    assert found(dial, bands, "25.1549") == {"unmarked-limit": {"redline"}, "green-past-limit": {"redline"}}


@some
@given(dials(), st.integers(1, 2))
def test_green_one_step_past_the_red_line_is_found(dial: Dial, past: int) -> None:
    """(b): under the red, at either end."""
    bands = dial.bands()
    bands["long"] = f"rpm from {dial.continuous}0 to {dial.takeoff + past}0 is green"
    assert found(dial, bands, "25.1549(b)") == {"green-past-limit": {"redline"}}
    bands = dial.bands()
    bands["long"] = f"rpm from {dial.minimum - past}0 to {dial.restricted[0]}0 is green"
    for rule in ("27.1549(b) as of 2001-05-10", "27.1549 as of 2023-02-09", "23.1549(b)"):
        assert found(dial, bands, rule) == {"green-past-limit": {"least"}}


@some
@given(dials(), st.integers(1, 2))
def test_since_2023_no_rule_for_rotorcraft_says_where_green_ends(dial: Dial, past: int) -> None:
    """27.1549(b) of Amdt 27-51. What is left is advice by 25.1549(b), a note."""
    bands = dial.bands()
    bands["long"] = f"rpm from {dial.continuous}0 to {dial.takeoff + past}0 is green"
    text = "\n".join(
        [
            'rules "dial" version 1',
            'source TC "a type certificate data sheet drawn at random"',
            f"quantity rpm from 0 to {dial.top}0 rpm, step 10 rpm",
            *dial.limits(),
            *(f"m_{label}: {band}" for label, band in bands.items()),
        ]
    )
    for rule in ("27.1549", "27.1549(b)", "27.1549(b) as of 2023-02-10", "27.1549 as of 2026-11-29"):
        said = [f for f in loads(f"{text}\n{following(rule)}\n").check().findings if f.code.name in PACK]
        assert {f.severity for f in said} <= {Severity.NOTE}
        assert not any("27.1549" in f.message for f in said)


NORMAL = """\
rules "normal" version 1
source TC common practice
quantity rpm from 0 to 3500 rpm, step 10 rpm
redline: limit rpm at most 2750 rpm, source TC
usual: normal rpm from 500 to 2500 rpm, source TC
rpm below 500 is yellow
{marks}
rpm from 2500 to 2750 is green
rpm above 2750 is red
"""
AS_GREEN = ["25.1549", "25.1549(b)", "27.1549 as of 2001-05-10", "27.1549(b) as of 2023-02-09", "23.1549"]
AS_GREEN_OR_UNMARKED = ["27.1549", "27.1549(b)", "27.1549 as of 2023-02-10", "27.1549(b) as of 2024-01-01"]


@pytest.mark.parametrize(
    ("marks", "by_rule"),
    [
        ("rpm from 500 to 2500 is green", ()),
        ("rpm from 500 to 2500 is unmarked", AS_GREEN),
        ("rpm from 500 to 1200 is green\nrpm from 1200 to 2500 is unmarked", AS_GREEN),
        # No mark at all is unmarked too; that no band covers it is another finding.
        ("rpm from 500 to 1200 is green", AS_GREEN),
        ("rpm from 500 to 2500 is white", [*AS_GREEN, *AS_GREEN_OR_UNMARKED]),
        ("rpm from 500 to 2500 is yellow", [*AS_GREEN, *AS_GREEN_OR_UNMARKED]),
        ("rpm from 500 to 2500 is unmarked\nrpm from 600 to 700 is blue", [*AS_GREEN, *AS_GREEN_OR_UNMARKED]),
    ],
)
def test_the_normal_range_is_green_and_since_2023_green_or_unmarked(marks: str, by_rule: list[str]) -> None:
    text = NORMAL.format(marks=marks)
    for rule in [*AS_GREEN, *AS_GREEN_OR_UNMARKED]:
        said = [f for f in loads(text + following(rule) + "\n").check().findings if f.code.name == "normal-not-green"]
        assert {f.severity for f in said} == ({Severity.ERROR} if rule in by_rule else set()), rule
        which = rule.split(" as of ")[0].removesuffix("(b)")
        assert all(f"14 CFR {which}(b)" in f.message for f in said)
        # Of the rule whose text changed each finding says which of the two it is.
        if which == "27.1549":
            text_of = "Amdt 27-29, published 1994-09-16 until 2023-02-10"
            text_of = "Amdt 27-51, published 2023-02-10" if rule in AS_GREEN_OR_UNMARKED else text_of
            assert all(text_of in f.message for f in said)
    # Without a rule it is a word of this tool; of another paragraph too.
    for rest in ("", 'follow "27.1549(a)"\n'):
        said = [f for f in loads(text + rest).check().findings if f.code.name == "normal-not-green"]
        assert {f.severity for f in said} == ({Severity.WARNING} if by_rule else set())


@pytest.mark.parametrize("more", ["25.1549", "27.1549(b) as of 2001-05-10"])
def test_who_follows_an_older_text_too_is_held_to_it(more: str) -> None:
    text = NORMAL.format(marks="rpm from 500 to 2500 is unmarked") + f"{following('27.1549')}\n{following(more)}\n"
    [one] = [f for f in loads(text).check().findings if f.code.name == "normal-not-green"]
    assert one.severity is Severity.ERROR
    assert "published 2023-02-10" not in one.message


def test_a_speed_is_no_powerplant_instrument() -> None:
    text = (
        NORMAL.format(marks="rpm from 500 to 2500 is unmarked")
        .replace("rpm", "kt")
        .replace("quantity kt", "quantity v")
    )
    text = text.replace("kt below", "v below").replace("kt from", "v from").replace("kt above", "v above")
    text = text.replace("limit kt", "limit v").replace("normal kt", "normal v")
    for rule in (*AS_GREEN, *AS_GREEN_OR_UNMARKED):
        [one] = [f for f in loads(text + following(rule) + "\n").check().findings if f.code.name == "normal-not-green"]
        assert one.severity is Severity.WARNING


# ---- days


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("25.1549 as of 1977-03-17", None),
        ("25.1549 as of 1977-03-16", "the earliest that is known held from 1977-03-17"),
        ("25.1549(b) as of 1970-01-01", "the earliest that is known held from 1977-03-17"),
        ("27.1549 as of 1994-09-16", None),
        ("27.1549 as of 1994-09-15", "the earliest that is known held from 1994-09-16"),
        ("27.1549 as of 2026-11-29", None),
        ("27.1549 as of 2026-11-30", "known up to 2026-11-29"),
        ("25.1549(a) as of 2099-01-01", "known up to 2026-11-29"),
        ("23.1322 as of 2017-08-29", None),
        ("23.1322 as of 2017-08-30", "the rule was taken out on 2017-08-30"),
        ("23.1549 as of 2020-01-01", "the rule was taken out on 2017-08-30"),
    ],
)
def test_a_day_without_a_text_is_an_error_and_holds_nothing(rule: str, said: str | None) -> None:
    marks = 'rpm from 500 to 2900 is green\nrpm from 500 to 2500 is white with caution "WHITE"'
    rules = loads(NORMAL.format(marks=marks) + following(rule) + "\n")
    about = [f for f in rules.check().findings if f.code.name == "unknown-standard"]
    errors = {f.code.name for f in rules.check().findings if f.severity is Severity.ERROR and f.code.name in PACK}
    if said is None:
        assert about == []
    else:
        [one] = about
        assert one.severity is Severity.ERROR
        assert said in one.message
        assert errors == set()
        assert any("take `as of` out" in line for line in one.advice)


def test_where_the_first_day_is_not_known_the_text_counts_and_a_note_says_so() -> None:
    """23.1549 is from memory, and so is nothing of when its text began."""
    text = NORMAL.format(marks="rpm from 500 to 2900 is green") + following("23.1549(b) as of 1980-01-01") + "\n"
    findings = loads(text).check().findings
    [one] = [f for f in findings if f.code.name == "unknown-standard"]
    assert one.severity is Severity.NOTE
    assert 'from which day on the text of "23.1549(b)" held is not known' in one.message
    assert Severity.ERROR in {f.severity for f in findings if f.code.name == "green-past-limit"}


@some
@given(dials(), st.sampled_from(["green", "white", "blue", "unmarked"]))
def test_a_takeoff_range_that_is_not_yellow_is_found(dial: Dial, colour: str) -> None:
    """(c): green until the five minutes are over."""
    bands = dial.bands()
    bands["yellow"] = bands["yellow"].replace("yellow", colour)
    assert found(dial, bands, "25.1549(c)") == {"takeoff-not-yellow": {"power"}}
    assert found(dial, bands) == {"takeoff-not-yellow": {"power"}}


@some
@given(dials(), st.booleans())
def test_a_restricted_range_that_is_not_red_at_once_is_found(dial: Dial, later: bool) -> None:
    """(d): yellow while it may be passed through, and red after that."""
    bands = dial.bands()
    first, last = dial.restricted
    bands["red_arc"] = f"rpm from {first}0 to {last}0 is yellow"
    if later:
        bands["red_after"] = f"rpm from {first}0 to {last}0 for more than 10 s is red"
    assert found(dial, bands, "25.1549(d)") == {"restricted-not-red": {"shaking"}}


@some
@given(dials())
def test_red_inside_green_is_no_fault(dial: Dial) -> None:
    """(d): the restricted range may lie inside the normal one; the arc under it goes on."""
    bands = dial.bands()
    del bands["green_high"]
    bands["green_low"] = f"rpm from {dial.minimum}0 to {dial.continuous}0 is green"
    assert found(dial, bands, "25.1549") == {}


# ---- contexts

SHAPES = """\
rules "shapes" version 1
source TC "invented"
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity oil_temp from -40 to 300 F, step 1 F
switch gear up, down
redline: limit rpm at most 2750 rpm, source TC
follow "25.1549"
"""


@pytest.mark.parametrize(
    ("statements", "expected"),
    [
        # A colder, tighter limit has its own mark, and where it holds the other needs none.
        (
            "cold: when oil_temp below 75 limit rpm at most 1200, source TC\n"
            "rpm at most 2750 is green\nwhen oil_temp at least 75 then rpm above 2750 is red\n"
            "when oil_temp below 75 then rpm above 1200 is red\n",
            {},
        ),
        # The tighter one is marked in half of its contexts.
        (
            "cold: when oil_temp below 75 limit rpm at most 1200, source TC\n"
            "rpm at most 2750 is green\nrpm above 2750 is red\n"
            "when oil_temp below 75 and gear is up then rpm above 1200 is red\n"
            "when oil_temp below 75 and gear is down then rpm above 1100 is red\n",
            {"unmarked-limit": {"cold"}},
        ),
        # The red line is there with the gear down only; up it begins 50 rpm early.
        (
            "rpm at most 2700 is green\nwhen gear is down then rpm from 2700 to 2750 is green\n"
            "when gear is down then rpm above 2750 is red\nwhen gear is up then rpm above 2700 is red\n",
            {"unmarked-limit": {"redline"}},
        ),
        # Two limits of one value share a mark.
        (
            "again: limit rpm at most 2750 rpm, source TC\nrpm at most 2750 is green\nrpm above 2750 is red\n",
            {},
        ),
        # The looser of two that always hold needs no mark: the tighter one is the limit.
        (
            "tight: limit rpm at most 2600 rpm, source TC\nrpm at most 2600 is green\nrpm above 2600 is red\n",
            {},
        ),
        # A limit of the sensor's whole range has nothing to mark.
        (
            "all: limit rpm at most 3500 rpm, source TC\nrpm at most 2750 is green\nrpm above 2750 is red\n",
            {},
        ),
        # Red in two pieces begins where the first one does.
        (
            "rpm at most 2750 is green\nrpm from 2750 to 3000 is red\nrpm above 3000 is red\n",
            {},
        ),
        # A range to avoid on a temperature is no speed range: (d) does not speak of it.
        (
            "soak: avoid oil_temp from 100 to 110 F except for 10 s, source TC\n"
            "rpm at most 2750 is green\nrpm above 2750 is red\n"
            "oil_temp from -40 to 300 F is green\noil_temp from 100 to 110 F for more than 10 s is red\n",
            {},
        ),
        # Green with the gear up reaches past a limit that holds with the gear up; the red is under other contexts.
        (
            "up: when gear is up limit rpm at most 2500, source TC\n"
            "when gear is up then rpm at most 2600 is green\nwhen gear is down then rpm at most 2750 is green\n"
            "rpm above 2750 is red\nwhen gear is up and oil_temp at least 100 then rpm above 2500 is red\n"
            "when gear is up and oil_temp below 100 then rpm above 2500 is red\n",
            {"green-past-limit": {"up"}},
        ),
    ],
)
def test_contexts(statements: str, expected: dict[str, set[str]]) -> None:
    said: dict[str, set[str]] = {}
    for one in loads(SHAPES + statements).check().findings:
        if one.code.name in PACK:
            said.setdefault(one.code.name, set()).add(str(one.limit))
    assert said == expected


def test_each_element_of_an_array_by_itself() -> None:
    text = """\
rules "cylinders" version 1
source TC "invented"
quantity cht[2] from 0 to 500 F, step 1 F
hot: limit cht at most 460 F, source TC
cht[1] at most 460 is green
cht[2] at most 450 is green
cht[1] above 460 is red
cht[2] above 450 is red
follow "25.1549(a)"
"""
    [one] = [f for f in loads(text).check().findings if f.code.name in PACK]
    assert "no red on cht[2] begins at 460 F" in one.message


def test_the_witness_is_a_state_of_the_fault() -> None:
    """At the limit with the gear up: red began below it."""
    statements = (
        "rpm at most 2700 is green\nwhen gear is down then rpm from 2700 to 2750 is green\n"
        "when gear is down then rpm above 2750 is red\nwhen gear is up then rpm above 2700 is red\n"
    )
    [one] = [f for f in loads(SHAPES + statements).check().findings if f.code.name in PACK]
    assert one.witness is not None
    assert one.witness["gear"] == "up"
    assert "whenever gear is up" in one.message
