"""Whatever two canonical texts differ in is told, at least as "other"; and nothing is, where they do not."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import alertlang
from alertlang import api
from alertlang.comparison import Comparison, Direction, compare
from alertlang.comparison.written import _PARTS, _parts
from alertlang.format.text import format_statement
from alertlang.model.load import parse_ruleset
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source

BASE = """rules "everything" version 1
about "Two gauges"
source DOC "the manual"
source SHOP common practice
engine piston, air cooled
respond within 3 s
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm, accuracy 5 rpm, deadband 20 rpm, source DOC "page 1"
quantity oil "Oil" from -40 to 300 F, step 1 F
quantity egt[2] "EGT" from 0 to 2000 F
switch flaps "Flaps" up, mid, down
let hottest = highest of egt, source SHOP
curve top over oil: 0 F -> 2000 rpm, 200 F -> 2750 rpm, otherwise 2500 rpm, source SHOP
condition cold means oil below 120 F until oil above 130 F, set after 2 s, cleared after 10 s, source SHOP
assume when flaps is down then rpm at most 3000 rpm, source DOC
redline: limit rpm at most 2750 rpm except for 5 s, needs warning within 2 s, source DOC "page 2"
buzz: avoid rpm from 2000 to 2100 rpm, source SHOP
careful: precaution oil from 220 to 225 F, source DOC
usual: normal rpm from 1000 to 2500 rpm, source DOC
calm: rpm at most 2550 rpm is green
fast: when not cold then rpm above 2750 for more than 2 s in total is red with warning "FAST" after 2 s latched
moved: rpm above top is yellow with caution "TOP" unless flaps is mid
hot: egt above 1800 F is red with warning "EGT {n}"
down: when flaps is down for at least 5 s then advisory "FLAPS"
gone: oil failed is yellow with caution "PROBE"
oil at least -40 F is green
proven: prove rpm above 2760 rpm raises warning within 9 s
quietly: prove when flaps is up and rpm below 1000 rpm then egt at most 1500 F is never red
accept gap on egt because "no band below" until 2030-01-01
follow "14 CFR 25.1549"
follow "14 CFR 27.1549" as of 2001-05-10
maximum weight 1310 kg, arcs at 1200 kg, source DOC "page 3"
lamp "W" shows warning and down, sequence M, acknowledged by ack, reset by rst
gauge rpm labelled "RPM", drawn as dial in rpm to 10 rpm, sensor "hall", channel "A1"
gauge egt labelled "EGT"
input flaps labelled "FLAP", wired to ground when down, channel "D1"
"""


def read(text: str) -> alertlang.Rules | None:
    loaded = parse_ruleset(text.encode(), shown="w.alert", folder=Path("."))
    return None if loaded.ruleset is None else alertlang.loads(text, name="w.alert")


def canonical(text: str) -> list[str]:
    """Without the header and labels."""
    found = []
    for node in parse(Source("w.alert", text))[0].statements:
        plain = replace(node, label=None) if isinstance(node, t.Labelled) else node
        if not isinstance(node, t.Header):
            found.append(" ".join(format_statement(plain).split()))
    return found


def test_the_example_uses_every_statement() -> None:
    rules = read(BASE)
    assert rules is not None
    kinds = {type(n) for n in parse(Source("w.alert", BASE))[0].statements}
    told = {t.Allows, t.TextLength, t.Scan, t.Colours, t.LabelLength}  # of displays
    assert kinds == {*t.Statement.__args__} - told - {t.Use, t.Drop, t.Replace}


TOKEN = re.compile(r'"[^"]*"|[a-z_]+|\d+')


@st.composite
def edited(draw: st.DrawFn) -> str:
    lines = BASE.splitlines()
    i = draw(st.integers(1, len(lines) - 1))
    what = draw(st.sampled_from(("token", "token", "token", "clause", "drop", "swap", "comment")))
    match what:
        case "drop":
            del lines[i]
        case "swap":
            lines[i - 1 or 1], lines[i] = lines[i], lines[i - 1 or 1]
        case "comment":
            lines[i] += "  # as before"
        case "clause":
            clauses = lines[i].split(", ")
            del clauses[draw(st.integers(0, len(clauses) - 1))]
            lines[i] = ", ".join(clauses)
        case "token":
            tokens = list(TOKEN.finditer(lines[i]))
            one = draw(st.sampled_from(tokens))
            words = sorted({w for w in TOKEN.findall(BASE) if w[0] == one[0][0] or (w.isalpha() and one[0].isalpha())})
            new = (
                str(int(one[0]) + draw(st.sampled_from((1, 10, 100))))
                if one[0].isdigit()
                else draw(st.sampled_from(words))
            )
            lines[i] = lines[i][: one.start()] + new + lines[i][one.end() :]
    return "\n".join(lines) + "\n"


@settings(deadline=None, max_examples=150, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
@given(edited())
def test_every_edit_of_the_canonical_text_is_told(text: str) -> None:
    before, after = read(BASE), read(text)
    if after is None:
        return
    assert before is not None
    found = api.compare(before, after)
    assert found.same is (canonical(BASE) == canonical(text)), text


def compared(old: str, new: str) -> Comparison:
    assert old in BASE, old
    before, after = read(BASE), read(BASE.replace(old, new, 1))
    assert before is not None
    assert after is not None, new
    return api.compare(before, after)


L, M, N = Direction.LESS, Direction.MORE, Direction.OTHER


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"Engine speed"', '"RPM"', 'quantity rpm "RPM" from 0 to 3500 rpm'),
        ("up, mid, down", "mid, up, down", "switch flaps"),
        ("step 10 rpm", "step 5 rpm", "step of rpm: 5 rpm instead of 10 rpm"),
        ("accuracy 5 rpm", "accuracy 6 rpm", "accuracy of rpm: 6 rpm instead of 5 rpm"),
        ("from 0 to 2000 F", "from 0 to 2100 F", "egt reads from 0 F to 2100 F"),
        ("air cooled", "liquid cooled", "engine piston, liquid cooled"),
        (
            "arcs at 1200 kg",
            "arcs at 1310 kg",
            'changed: maximum weight 1310 kg, arcs at 1200 kg, source DOC "page 3"; '
            'it is now: maximum weight 1310 kg, arcs at 1310 kg, source DOC "page 3"',
        ),
        ("1310 kg, arcs at 1200 kg", "1310 kg", "it is now: maximum weight 1310 kg, source DOC"),
        ("arcs at 1200 kg", "arcs at 1200.0 kg, source SHOP", 'source SHOP, source DOC "page 3"'),
        ("maximum weight 1310 kg, arcs at", "arcs at", 'it is now: arcs at 1200 kg, source DOC "page 3"'),
        (
            'maximum weight 1310 kg, arcs at 1200 kg, source DOC "page 3"\n',
            "",
            "no longer said: maximum weight 1310 kg",
        ),
        (
            "as of 2001-05-10",
            "as of 2024-05-10",
            'held to another text: "14 CFR 27.1549" as of 2001-05-10; it is now: "14 CFR 27.1549" as of 2024-05-10',
        ),
        (" as of 2001-05-10", "", 'as of 2001-05-10; it is now: "14 CFR 27.1549"'),
        ('about "Two gauges"', 'about "Gauges"', 'about "Gauges"'),
        ('source DOC "the manual"', 'source DOC "a manual"', 'source DOC "a manual"'),
        ('source DOC "page 2"', 'source DOC "page 3"', "page 3"),
        ('channel "A1"', 'channel "A2"', "gauge of rpm, channels: A2 instead of A1"),
        ("wired to ground when down", "wired to supply when down", "wired to: supply instead of ground"),
        ("shows warning and down", "shows down and warning", "shows down and warning"),
        ("2750 rpm, otherwise", "2750 rpm, 210 F -> 2750 rpm, otherwise", "curve top"),
        ('because "no band below"', 'because "other"', "for another reason"),
        ("respond within 3 s", "respond within 4 s", "respond within 4 s"),
        ("oil below 120 F until", "oil below 120 until", "condition cold means oil below 120 until"),
        ("quantity egt[2]", "quantity spare from 0 to 9\nquantity egt[2]", "spare is read, which it was not"),
        ("let hottest", "let coldest = lowest of egt\nlet hottest", "let coldest"),
    ],
)
def test_told_as_other(old: str, new: str, said: str) -> None:
    found = compared(old, new)
    assert any(said in one.message and one.direction is N for one in found.changes), [c.message for c in found.changes]
    assert not found.same


def test_a_rule_that_is_followed_no_longer_is_told_with_its_day() -> None:
    [change] = compared('follow "14 CFR 27.1549" as of 2001-05-10\n', "").changes
    assert (change.direction, change.message) == (L, 'no longer held to "14 CFR 27.1549" as of 2001-05-10')
    assert read(BASE) is not None
    newly = BASE + 'follow "25.1322(e)" as of 2012-01-01\n'
    [change] = api.compare(read(BASE), read(newly)).changes  # type: ignore[arg-type]
    assert (change.direction, change.message) == (M, 'held to "25.1322(e)" as of 2012-01-01')


def test_the_day_of_one_of_two_texts_that_are_followed_is_told() -> None:
    twice = BASE + 'follow "14 CFR 27.1549" as of 1999-01-01\n'
    other = twice.replace("2001-05-10", "2002-05-10")
    found = api.compare(read(twice), read(other))  # type: ignore[arg-type]
    assert not found.same
    assert any("2002-05-10" in one.message for one in found.changes), [one.message for one in found.changes]


def test_a_word_that_nobody_tells_is_told_by_the_net() -> None:
    """A part that is not known covers nothing: the words of the clock and of place are all there is."""
    tree = parse(Source("w.alert", BASE))[0]
    rules = [n.rule for n in tree.statements if isinstance(n, t.Labelled) and isinstance(n.rule, t.BandStatement)]
    fields = {name for rule in rules for other in rules for name in _parts(rule, other)}
    assert fields <= {"what", "text", "times"}
    other = replace(rules[0], tail=replace(rules[0].tail, repeated=(rules[0],)))
    assert set(_parts(rules[0], other)) - set(_PARTS.values()) == {"repeated"}


@pytest.mark.parametrize(
    ("old", "new", "way", "said"),
    [
        ("within 9 s", "within 0 s", M, "changed"),
        ("within 9 s", "within 10 s", L, "changed"),
        (" within 9 s", "", L, "changed"),
        ("prove rpm above 2760", "prove rpm above 2750", M, "changed"),
        ("prove rpm above 2760", "prove rpm above 2770", L, "changed"),
    ],
)
def test_a_claim_that_asks_for_more_or_for_less(old: str, new: str, way: Direction, said: str) -> None:
    found = compared(old, new)
    assert [(c.direction, c.message.split(":")[0]) for c in found.changes if c.direction is not N] == [(way, said)]


@pytest.mark.parametrize(
    ("old", "new"), [('"FAST"', '"RPM HIGH"'), ('"EGT {n}"', '"EGT"'), ('"FLAPS"', '"FLAP"'), ('"FAST"', '"TOP"')]
)
def test_a_text_of_the_same_statement_is_no_loss_and_no_gain(old: str, new: str) -> None:
    [change] = compared(old, new).changes
    assert (change.kind, change.direction) == ("text", N)
    assert change.message == f"the text {old} is now {new}"


def test_a_label_that_moves_to_another_statement_takes_what_names_it_along() -> None:
    swapped = BASE.replace("down: ", "x: ").replace("gone: ", "down: ").replace("x: ", "gone: ")
    after = read(swapped)
    before = read(BASE)
    assert before is not None
    assert after is not None
    found = api.compare(before, after)
    assert any('lamp "W"' in one.message for one in found.changes)
    renamed = read(BASE.replace("down: ", "x: ").replace("and down,", "and x,"))
    assert renamed is not None
    assert api.compare(before, renamed).same


def test_files_that_are_used_count_by_what_they_say(tmp_path: Path) -> None:
    body = BASE.split("\n", 1)[1]
    (tmp_path / "base.alert").write_text('rules "base" version 1\n' + body)
    (tmp_path / "own.alert").write_text('rules "own" version 1\nuse rules "base"\n')
    (tmp_path / "flat.alert").write_text('rules "flat" version 1\n' + body)
    base, own, flat = (alertlang.load(tmp_path / f"{name}.alert").model for name in ("base", "own", "flat"))
    assert compare(base, own).same
    assert [one.message for one in compare(flat, own).changes] == ['rules "base" is used, which it was not']


ARRAY = """rules "array" version 1
source S common practice
quantity cht[2] from 0 to 600 F
let excess = cht - 400 F
let hottest = highest of cht
head: limit cht at most 460 F, needs warning, source S
cht above 460 F is red with warning "CHT {n}"
cht at most 460 F is green
excess above 60 F for more than 3 s is yellow
hottest above 460 F is red
hottest at most 460 F is green
condition boiling means any cht above 500 F until any cht below 300 F
long: when any cht above 500 F for at least 5 s then caution "LONG"
p_head: prove cht above 460 F is red
p_any: prove when any cht above 460 F then hottest at most 460 F is never green
"""


def test_an_array_of_another_size_keeps_the_elements_that_both_have() -> None:
    before, after = (alertlang.loads(ARRAY.replace("cht[2]", f"cht[{n}]")) for n in (2, 3))
    more, less = api.compare(before, after), api.compare(after, before)
    for found, way, said in (
        (more, M, "cht[3] is read, as cht has 3 elements instead of 2"),
        (less, L, "cht[3] is no longer read, as cht has 2 elements instead of 3"),
    ):
        assert not found.undecided
        told = [(c.kind, c.subject, c.direction) for c in found.changes if c.kind in {"colour", "alert"}]
        assert sorted(told, key=str) == [("alert", "CHT 3", way), ("alert", "LONG", way), ("colour", "hottest", way)]
        assert said in [c.message for c in found.changes]
        assert [c.message for c in found.changes if c.subject == "boiling"] == [
            "the same words mean something else: condition boiling means any cht above 500 F until any cht below 300 F"
        ]
        assert not [c for c in found.changes if c.kind in {"limit", "written"} or "claimed" in c.message]
        assert not [c for c in found.changes if "blank" in c.message and c.kind != "failure"]
    hotter = api.compare(
        before,
        alertlang.loads(
            ARRAY.replace("cht[2]", "cht[3]").replace("cht above 460 F is red with", "cht above 470 F is red with")
        ),
    )
    assert "cht[1] above 460 up to 470 F is blank instead of red" in [c.message for c in hotter.changes]


@pytest.mark.parametrize(
    ("quantifier", "sensors", "more"),
    [("any", "cht[3] failed", True), ("every", "cht[1] and cht[2] failed", False)],
)
def test_how_long_sensors_have_failed_is_told_of_each_element(quantifier: str, sensors: str, more: bool) -> None:
    text = f"""rules "array" version 1
quantity cht[2] from 0 to 600 F
cht at most 460 F is green
long: when {quantifier} cht failed for at least 5 s then caution "LONG"
"""
    two, three = alertlang.loads(text), alertlang.loads(text.replace("cht[2]", "cht[3]"))
    for found, comes in ((api.compare(two, three), more), (api.compare(three, two), not more)):
        [change] = [c for c in found.changes if c.kind != "statement"]
        does = "now" if comes else "no longer"
        assert change.message == f'with {sensors}, for a time, caution "LONG" {does} comes up'
        assert change.direction is (M if comes else L)


DIFFERENCE = """rules "difference" version 1
source S common practice
quantity a from 0 to 50 psi
quantity b from 0 to 50 psi
let d = a - b
head: limit d at least 2 psi, needs warning, source S
d below 2 psi is red with warning "D"
d at least 2 psi is green
p_head: prove d below 1 psi is red
"""


@pytest.mark.parametrize("back", [False, True])
def test_a_let_of_the_same_name_is_the_same_gauge(back: bool) -> None:
    texts = [DIFFERENCE, DIFFERENCE.replace("let d = a - b", "let d = a - b - 1 psi")]
    way, colours = (L, "green instead of red") if back else (M, "red instead of green")
    found = api.compare(*map(alertlang.loads, reversed(texts) if back else texts))
    assert not any("blank" in c.message for c in found.changes)
    shown = dict.fromkeys((c.kind, c.direction) for c in found.changes if c.kind != "written")
    assert [*shown] == [("colour", way), ("alert", way), ("limit", way), ("statement", way)]
    assert colours in found.changes[0].message
    [formula] = [c.message for c in found.changes if c.kind == "written"]
    assert "let d = a - b - 1 psi" in formula


def test_lets_that_swap_their_formulas_keep_their_gauges() -> None:
    text = DIFFERENCE + "let sum = a + b\nsum at most 50 psi is green\nsum above 50 psi is yellow\n"
    other = text.replace("let d = a - b", "let d = a + b").replace("let sum = a + b", "let sum = a - b")
    found = api.compare(alertlang.loads(text), alertlang.loads(other))
    assert not any("blank" in c.message for c in found.changes)
    assert {c.subject for c in found.changes if c.kind == "colour"} == {"d", "sum"}


def test_a_limit_that_is_told_is_not_told_again() -> None:
    [change] = compared("limit rpm at most 2750 rpm except", "limit rpm at most 2700 rpm except").changes
    assert (change.direction, change.subject) == (M, "redline")
    [change] = compared("limit rpm at most 2750 rpm except", "limit rpm at most 2800 rpm except").changes
    assert (change.direction, change.subject) == (L, "redline")
