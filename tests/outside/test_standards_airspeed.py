"""The airspeed pack against 14 CFR 23.1545(b) and published figures.

Source: 14 CFR 23.1545(b), read in the edition of the 1960s. In own words: (1) a red line at VNE; (2) a yellow arc from
the upper end of the green one, VNO, to the red line; (3) a green arc from VS1 to VNO; (4) a white arc from VS0 to VFE,
both stall speeds at maximum weight. From memory, and tested nowhere: a later (d) left out aeroplanes with a VMO, the
blue line was later for piston twins of at most 6000 lb.

The figures of the Cessna 150M (Pilot's Operating Handbook, 1976 model, section 7, indicated): white 42 to 85 kt, green
47 to 107 kt, yellow 107 to 141 kt, red line 141 kt.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from alertlang.api import load, loads
from alertlang.checks.standards.speeds import told
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding
from alertlang.text.resources import profiles_dir

NAME = "wrong-airspeed-arc"
VS0, VS1, VFE, VNO, VNE = 42, 47, 85, 107, 141

RANGES = {
    "vne": "limit airspeed at most {vne} kt",
    "vno": "precaution airspeed from {vno} to {vne} kt",
    "vs1": "when flaps is up normal airspeed from {vs1} to {vno} kt",
    "vfe": "when flaps is not up limit airspeed at most {vfe} kt",
    "vs0": "when flaps is not up normal airspeed from {vs0} to {vfe} kt",
}
BANDS = {
    "slow": "when flaps is up then airspeed below {vs1} kt is unmarked",
    "slow_flaps": "when flaps is extended then airspeed below {vs0} kt is unmarked",
    "green": "when flaps is up then airspeed from {vs1} to {vno} kt is green",
    "white": "when flaps is extended then airspeed from {vs0} to {vfe} kt is white",
    "yellow": "when flaps is up then airspeed from {vno} to {vne} kt is yellow",
    "red_flaps": "when flaps is extended then airspeed above {vfe} kt is red",
    "red": "airspeed above {vne} kt is red",
}
PUBLISHED = {"vs0": VS0, "vs1": VS1, "vfe": VFE, "vno": VNO, "vne": VNE}


def found(
    speeds: dict[str, int],
    ranges: dict[str, str] | None = None,
    bands: dict[str, str] | None = None,
    follow: str | None = "14 CFR 23.1545",
) -> list[tuple[str, str | None]]:
    """For each finding of the pack its paragraph and the statement that tells the speed."""
    ranges, bands = (RANGES if ranges is None else ranges), (BANDS if bands is None else bands)
    lines = [
        'rules "speeds" version 1',
        'source POH "a handbook"',
        "quantity airspeed from 0 to 300 kt, step 1 kt",
        "switch flaps up, extended",
        *(f"{label}: {text.format(**speeds)}, source POH" for label, text in ranges.items()),
        *(f"m_{label}: {text.format(**speeds)}" for label, text in bands.items()),
        *([] if follow is None else [f'follow "{follow}"']),
    ]
    said: list[tuple[str, str | None]] = []
    for one in loads("\n".join(lines) + "\n").check().findings:
        if one.code.name == NAME:
            assert one.severity is (Severity.NOTE if follow is None else Severity.ERROR)
            said.append((one.message.split("23.1545")[1][:6], one.limit))
    return said


@st.composite
def speeds(draw: st.DrawFn) -> dict[str, int]:
    """Any speeds in their order: VS0 <= VS1 < VNO < VNE and VS0 < VFE <= VNO."""
    vs0 = draw(st.integers(30, 60))
    vs1 = vs0 + draw(st.integers(0, 20))
    vno = vs1 + draw(st.integers(10, 60))
    vne = vno + draw(st.integers(10, 60))
    return {"vs0": vs0, "vs1": vs1, "vfe": draw(st.integers(vs0 + 10, vno)), "vno": vno, "vne": vne}


@settings(max_examples=40)
@given(speeds())
def test_arcs_from_the_speeds_are_clean(values: dict[str, int]) -> None:
    assert found(values) == []
    assert found(values, follow=None) == []


def test_the_published_figures_are_clean() -> None:
    assert found(PUBLISHED) == []


@pytest.mark.parametrize(
    ("band", "wrong", "paragraph", "limit"),
    [
        ("red", "airspeed above 140 kt is red", "(b)(1)", "vne"),
        ("yellow", "when flaps is up then airspeed from 106 to 141 kt is yellow", "(b)(3)", "vs1"),
        ("yellow", "when flaps is up then airspeed from 108 to 141 kt is yellow", "(b)(2)", "vno"),
        ("green", "when flaps is up then airspeed from 46 to 107 kt is green", "(b)(3)", "vs1"),
        ("green", "when flaps is up then airspeed from 48 to 107 kt is green", "(b)(3)", "vs1"),
        ("green", "when flaps is up then airspeed from 47 to 106 kt is green", "(b)(3)", "vs1"),
        ("green", "when flaps is up then airspeed from 47 to 107 kt is white", "(b)(3)", "vs1"),
        ("white", "when flaps is extended then airspeed from 41 to 85 kt is white", "(b)(4)", "vs0"),
        ("white", "when flaps is extended then airspeed from 43 to 85 kt is white", "(b)(4)", "vs0"),
        ("white", "when flaps is extended then airspeed from 42 to 84 kt is white", "(b)(4)", "vs0"),
        ("white", "when flaps is extended then airspeed from 42 to 85 kt is green", "(b)(4)", "vs0"),
    ],
)
def test_an_arc_one_knot_off_is_found(band: str, wrong: str, paragraph: str, limit: str) -> None:
    said = found(PUBLISHED, bands={**BANDS, band: wrong})
    assert (paragraph, limit) in said
    assert {one for one in said if one[0] not in {paragraph, "(b)(2)", "(b)(3)"}} == set()


@pytest.mark.parametrize("label", RANGES)
def test_each_speed_that_is_not_told_is_missed(label: str) -> None:
    """One finding, under the paragraph of the arc that it belongs to."""
    paragraph = {"vne": "(b)(1)", "vno": "(b)(2)", "vs1": "(b)(3)", "vfe": "(b)(4)", "vs0": "(b)(4)"}[label]
    rest = {name: text for name, text in RANGES.items() if name != label}
    assert found(PUBLISHED, ranges=rest, bands={}) == [(paragraph, None)]
    # Of one paragraph only what it asks for.
    assert found(PUBLISHED, ranges=rest, follow=f"23.1545{paragraph}", bands={}) == [(paragraph, None)]
    other = "(b)(1)" if paragraph != "(b)(1)" else "(b)(4)"
    assert found(PUBLISHED, ranges=rest, follow=f"23.1545{other}", bands={}) == []
    # Without `follow` nobody is asked to tell anything.
    assert found(PUBLISHED, ranges=rest, follow=None, bands={}) == []


@pytest.mark.parametrize(
    ("label", "text", "paragraph"),
    [
        # Ranges that do not meet: (2) begins where (3) ends and ends at (1); (4) ends at VFE.
        ("vno", "precaution airspeed from 107 to 140 kt", "(b)(2)"),
        ("vs1", "when flaps is up normal airspeed from 47 to 105 kt", "(b)(3)"),
        ("vs0", "when flaps is not up normal airspeed from 42 to 84 kt", "(b)(4)"),
        ("vs0", "when flaps is not up normal airspeed at least 42 kt", "(b)(4)"),
    ],
)
def test_ranges_that_do_not_meet(label: str, text: str, paragraph: str) -> None:
    said = found(PUBLISHED, ranges={**RANGES, label: text}, bands={}, follow=None)
    assert said == [(paragraph, label)]


@pytest.mark.parametrize(
    ("change", "limit"),
    [
        ({"vs1": 107}, "vs1"),
        ({"vs0": 48}, "vs0"),
        ({"vno": 141}, "vno"),
        ({"vfe": 42}, "vs0"),
    ],
)
def test_speeds_in_an_impossible_order(change: dict[str, int], limit: str) -> None:
    """The order follows from what the speeds are: a stall with flaps is no faster than one without, and so on."""
    values = {**PUBLISHED, **change}
    ranges = {
        "vne": "limit airspeed at most {vne} kt",
        "vno": "precaution airspeed at least {vno} kt",
        "vs1": "when flaps is up normal airspeed at least {vs1} kt",
        "vfe": "when flaps is not up limit airspeed at most {vfe} kt",
        "vs0": "when flaps is not up normal airspeed at least {vs0} kt",
    }
    # Without upper ends nothing meets, so that the order is all that is new.
    before = found(PUBLISHED, ranges=ranges, bands={}, follow=None)
    after = found(values, ranges=ranges, bands={}, follow=None)
    assert [one for one in after if after.count(one) > before.count(one)] != []
    assert limit in {one for _, one in after}


def test_equal_stall_speeds_are_possible() -> None:
    assert found({**PUBLISHED, "vs1": VS0}) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("vne", "never_exceed"),
        ("vno", "smooth_air"),
        ("vs1", "airspeed_normal"),
        ("vfe", "landing_flap_limit"),
        ("vs0", "flap_range_full"),
    ],
)
def test_labels_in_words(old: str, new: str) -> None:
    ranges = {new if name == old else name: text for name, text in RANGES.items()}
    assert found(PUBLISHED, ranges=ranges) == []


@pytest.mark.parametrize("label", ["vnex", "v_ne", "evno", "smooth", "flaps_limit"])
def test_labels_that_tell_nothing(label: str) -> None:
    old = "vne" if "ne" in label else "vno" if "no" in label or "smooth" in label else "vfe"
    ranges = {label if name == old else name: text for name, text in RANGES.items()}
    assert len(found(PUBLISHED, ranges=ranges)) == 1


def test_the_shipped_profile_tells_four_speeds() -> None:
    """Its labels are the words; the stall with flaps is in a note only."""
    model = load(profiles_dir() / "airframes" / "cessna-150m.profile").model
    values = {one.speed.name: one.value for one in told(model, "airspeed")}
    assert values == {
        "VNE": Fraction(VNE),
        "VNO": Fraction(VNO),
        "VS1": Fraction(VS1),
        "VFE": Fraction(VFE),
    }


def test_a_label_on_another_kind_of_statement_is_named() -> None:
    text = """\
rules "speeds" version 1
source POH "a handbook"
quantity airspeed from 0 to 300 kt, step 1 kt
vne: precaution airspeed from 107 to 141 kt, source POH
follow "23.1545(b)(1)"
"""
    [one] = [f for f in loads(text).check().findings if f.code.name == NAME]
    assert "no statement on airspeed tells VNE" in one.message
    assert "has the label, but is no limit with a number there" in one.advice[1]


def test_no_airspeed_at_all() -> None:
    text = 'rules "r" version 1\nquantity rpm from 0 to 3500 rpm\nfollow "23.1545"\n'
    [one] = [f for f in loads(text).check().findings if f.code.name == NAME]
    assert one.message.startswith("no quantity is recognisable as an airspeed indicator")


def test_a_temperature_with_such_a_label_is_none_of_it() -> None:
    text = """\
rules "r" version 1
source POH "a handbook"
quantity oil_temp from 0 to 300 F, step 1 F
vne: limit oil_temp at most 240 F, source POH
vno: precaution oil_temp from 200 to 230 F, source POH
"""
    assert [f for f in loads(text).check().findings if f.code.name == NAME] == []


# ---- (b)(3) and (b)(4): at maximum weight


def weighed(said: str, follow: str | None, ranges: tuple[str, ...] = ("vs1", "vs0")) -> list[Finding]:
    """What arc-weight finds where some speeds are told and some weights are said."""
    lines = [
        'rules "weights" version 1',
        'source POH "a handbook"',
        "quantity airspeed from 0 to 300 kt, step 1 kt",
        "switch flaps up, extended",
        *(f"{label}: {RANGES[label].format(**PUBLISHED)}, source POH" for label in ranges),
        f"{said}, source POH" if said else "",
        *([] if follow is None else [f'follow "{follow}"']),
    ]
    return [one for one in loads("\n".join(lines) + "\n").check().findings if one.code.name == "arc-weight"]


SAME, LIGHTER = "maximum weight 1310 kg, arcs at 1310 kg", "maximum weight 1310 kg, arcs at 1200 kg"


@pytest.mark.parametrize(
    ("said", "advised", "fact"),
    [
        (SAME, False, None),
        ("maximum weight 1310 kg, arcs at 1310.0 kg", False, None),
        ("maximum weight 100000000 lb, arcs at 45359237 kg", False, None),
        (LIGHTER, True, "the arcs are at 1200 kg, and the maximum weight is 1310 kg"),
        ("maximum weight 1310 kg, arcs at 2888 lb", True, "the arcs are at 2888 lb"),
        (
            "maximum weight 1310 kg",
            True,
            "VS1 and VS0 are told, and nothing says at which weight; the maximum is 1310 kg",
        ),
        ("arcs at 1310 kg", True, "VS1 and VS0 are at 1310 kg, and nothing says what the maximum weight is"),
        # Who says nothing is asked only after `follow`.
        ("", False, "VS1 and VS0 are told, and nothing says at which weight"),
    ],
)
def test_the_stall_speeds_are_those_at_maximum_weight(said: str, advised: bool, fact: str | None) -> None:
    for follow in ("14 CFR 23.1545", "23.1545(b)(3)", "23.1545(b)(4)"):
        found = weighed(said, follow)
        assert [one.severity for one in found] == ([] if fact is None else [Severity.ERROR])
        assert all(str(fact) in one.message for one in found)
        assert all("[read in an edition of the 1960s]" in one.message for one in found)
    for other in (None, "23.1545(b)(1)", "25.1549"):
        assert [one.severity for one in weighed(said, other)] == [Severity.NOTE] * advised


def test_each_paragraph_is_asked_of_its_own_speed() -> None:
    for label, mine, other in (("vs1", "(b)(3)", "(b)(4)"), ("vs0", "(b)(4)", "(b)(3)")):
        [one] = weighed("", f"23.1545{mine}", (label,))
        assert f"23.1545{mine}" in one.message
        assert (one.quantity, one.statements) == ("airspeed", (label,))
        assert weighed("", f"23.1545{other}", (label,)) == []


def test_without_a_stall_speed_only_weights_that_differ_are_told() -> None:
    for follow in (None, "23.1545"):
        assert weighed("arcs at 1310 kg", follow, ("vne",)) == []
        assert weighed("", follow, ("vne",)) == []
        [one] = weighed(LIGHTER, follow, ("vne",))
        assert one.severity is (Severity.NOTE if follow is None else Severity.ERROR)


def test_a_profile_is_told_and_it_can_be_accepted() -> None:
    text = (
        f'profile "air" version 1\nsource POH "a handbook"\nquantity airspeed from 0 to 300 kt\n{LIGHTER}, source POH\n'
    )
    text += "vs1: normal airspeed from 47 to 107 kt, source POH\n"
    [one] = [f for f in loads(text).check().findings if f.code.name == "arc-weight"]
    assert one.where is not None
    assert one.where.text == f"{LIGHTER}, source POH"
    rules = text.replace("profile", "rules") + 'accept arc-weight on vs1 because "as the type certificate has it"\n'
    [one] = [f for f in loads(rules).check().findings if f.code.name == "arc-weight"]
    assert one.accepted == "as the type certificate has it"
