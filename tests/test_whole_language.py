"""A profile and a rule set that use every word of the language together, as they are."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from alertlang.api import Rules, load, loads
from alertlang.findings.codes import Severity
from alertlang.model import ruleset as m
from alertlang.results.report import Verdict
from alertlang.text.resources import examples_dir

ENGINE = """\
profile "teasel-engine" version 1
about "Four cylinders, air cooled, direct drive, 100 hp"
source TCDS "FAA TCDS number, revision, date"     # a published document
source SHOP common practice                     # a rule of the trade, no document
source RECALL from memory                       # to be confirmed before flight

quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F, accuracy 4 F
quantity cht[4] "Cylinder head temperature" from 0 to 600 F
quantity oil_pressure "Oil pressure" from 0 to 100 psi, deadband 1 psi
switch door "Door" open, latched
switch flaps "Flaps" up, takeoff, landing

let cht_spread = spread of cht                  # highest, lowest, spread, average of an array
let cht_cooling = fall of cht per min, from 0 to 200 F     # rise/fall: rate of change
let over_square = manifold_pressure / 1 inHg - rpm / 100 rpm
curve map_limit over rpm: 1800 rpm -> 22 inHg, 2400 rpm -> 28 inHg, 2620 rpm -> 28 inHg,
  otherwise 22 inHg                             # straight lines between points, the end values beyond; when failed
let cht_off = deviation of cht                  # each element minus the average of the array

condition running means rpm above 400 rpm
assume when not running then oil_pressure below 5 psi

redline: limit rpm at most 2680 rpm, needs warning within 2 s, source TCDS
oil_hot: limit oil_temp at most 235 F, needs warning, source TCDS
warm_up: when oil_temp below 75 F limit rpm at most 1200 rpm, needs caution, source SHOP
takeoff: limit rpm at most 2550 rpm except for 5 min, needs caution, source RECALL
start: when running for at least 30 s limit oil_pressure at least 10 psi, needs warning, source TCDS
vibration: avoid rpm from 2000 to 2150 rpm except for 10 s, source TCDS "note 6"
high_oil: precaution oil_temp from 205 to 235 F, source SHOP
usual: normal oil_pressure from 30 to 60 psi, source TCDS
"""

AIRFRAME = """\
profile "teasel-airframe" version 1
source POH "flight manual, revision"
maximum weight 1310 kg, arcs at 1200 kg, source POH
quantity airspeed "Airspeed" from 0 to 200 kt, step 1 kt
quantity manifold_pressure "Manifold pressure" from 0 to 40 inHg
"""

COMMON = 'rules "shop-common" version 1\n'

RULES = """\
rules "teasel-two-seat" version 3
use profile "teasel-engine"
use profile "teasel-airframe"
use rules "shop-common"                         # a base: its statements, then ours

condition cold means oil_temp below 120 F until oil_temp above 125 F,
  set after 5 s, cleared after 10 s
condition cold_or_blind means cold or oil_temp failed

rpm below 2550 is green
rpm from 2550 to 2680 is yellow
overspeed: rpm above 2680 is red with warning "OVERSPEED" after 1 s latched
when oil_temp below 120 F then rpm above 2000 is red with caution "ENGINE COLD"
power_time: rpm above 2550 for more than 5 min is red with caution "PWR TIME"
low_oil: oil_pressure below 25 psi is red with warning "OIL PRESS" after 3 s unless not running
flap_speed: when flaps is not up then airspeed above 88 kt is red with caution "FLAP SPEED"
cht above 435 F is red with warning "CHT {n} HOT"        # each cylinder; {n} names it
unlatched: when door is open and rpm above 1500 then warning "DOOR"

warm: prove when oil_temp below 75 F then rpm above 1200 is red
prove rpm above 2680 raises warning within 2 s
prove when not running then quiet
accept thin-band on overspeed because "sensor reads to 1 rpm on this aircraft" until 2027-06-30
follow "14 CFR 25.1549"                         # turns that part of the standards pack from advice into errors
follow "14 CFR 27.1549" as of 2001-05-10        # the text of that day, that of the certification basis
replace overspeed: rpm above 2620 is red with warning "OVERSPEED"   # changes one inherited statement
drop low_oil because "this aircraft has an oil pressure switch instead"
"""


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> Rules:
    folder: Path = tmp_path_factory.mktemp("teasel")
    (folder / "teasel-engine.profile").write_text(ENGINE)
    (folder / "teasel-airframe.profile").write_text(AIRFRAME)
    (folder / "shop-common.alert").write_text(COMMON)
    (folder / "teasel-two-seat.alert").write_text(RULES)
    return load(folder / "teasel-two-seat.alert")


def test_every_statement_is_there(rules: Rules) -> None:
    model = rules.model
    assert list(model.conditions) == ["running", "cold", "cold_or_blind"]
    assert [one.label for one in model.ranges] == [
        "redline", "oil_hot", "warm_up", "takeoff", "start", "vibration", "high_oil", "usual",
    ]  # fmt: skip
    assert [(f.rule, f.as_of) for f in model.follows] == [("14 CFR 25.1549", None), ("14 CFR 27.1549", "2001-05-10")]
    assert model.maximum_weight is not None
    assert model.arc_weight is not None
    assert (model.maximum_weight.in_words, model.arc_weight.in_words) == ("1310 kg", "1200 kg")
    assert model.drops == (("low_oil", "this aircraft has an oil pressure switch instead"),)
    cold = model.conditions["cold"]
    assert (cold.set_after, cold.cleared_after) == (Fraction(5), Fraction(10))
    by_label = {rule.label: rule for rule in model.rules}
    assert by_label["overspeed"].node.tail.latched is None, "replaced"
    assert by_label["power_time"].held == 300
    limits = {one.label: one for one in model.ranges}
    assert (limits["takeoff"].except_for, limits["vibration"].except_for) == (Fraction(300), Fraction(10))
    assert (limits["redline"].allowed, limits["redline"].allowed_by) == (Fraction(2), "`within`")
    assert limits["oil_hot"].allowed_by == "common practice, no source"
    assert limits["takeoff"].sources[0].status == "from memory"
    start = limits["start"].when
    assert isinstance(start, m.Held)
    assert start.duration == Fraction(30)


def test_what_it_says_of_itself(rules: Rules) -> None:
    """What is told in reading it: it changes two statements that it could have written otherwise."""
    assert [f.code.name for f in rules.check().findings if f.code.reading] == ["bad-change", "bad-change"]


def test_what_is_found(rules: Rules) -> None:
    found = Counter((f.code.name, f.quantity) for f in rules.check(today="2026-11-25").findings)
    assert found["unwatched-quantity", "oil_temp"] == 1
    assert found["unwatched-quantity", "oil_pressure"] == 1
    assert found["conflict", "rpm"] == 1, "yellow to 2680, red from 2620 now"
    assert found["lost-guard", "rpm"] == 2
    assert found["gap", "cht"] == 1
    assert found["gap", "airspeed"] == 2
    assert ("gap", "rpm") not in found
    assert ("missing-alert", "rpm") in found


def test_what_is_proved(rules: Rules) -> None:
    verdicts = {claim.label: claim.verdict for claim in rules.prove()}
    assert verdicts == {"warm": Verdict.REFUTED, "prove_1": Verdict.PROVED, "prove_2": Verdict.REFUTED}


def test_a_dead_probe_in_the_example_is_found_and_what_is_proposed_mends_it() -> None:
    """The warm-up guard without its `or oil_temp failed`: one finding, whose proposal put in its place removes it."""
    path = examples_dir() / "02-bramble" / "mistakes" / "lost-guard.alert"
    [lost] = [f for f in load(path).check().findings if f.code.name == "lost-guard"]
    assert lost.suggestion is not None
    assert "or oil_temp failed" in lost.suggestion.text
    replaced = lost.suggestion.replaces
    assert replaced is not None
    text = path.read_text(encoding="utf-8")
    mended = text[: replaced.start] + lost.suggestion.text + text[replaced.end :]
    report = loads(mended, name="mended.alert", folder=path.parent).check()
    assert not [f for f in report.findings if f.severity >= Severity.WARNING and f.accepted is None]
    assert all(claim.verdict is Verdict.PROVED for claim in report.claims)
