"""Alerts between the lamps: which are told, and which need none."""

from __future__ import annotations

import itertools

import pytest

from alertlang.api import loads
from alertlang.findings.finding import Finding

HEAD = """rules "t" version 1
quantity rpm from 0 to 3500 rpm, step 10 rpm
quantity cht[2] from 0 to 600 F, step 1 F
rpm at most 2700 is green
fast: rpm above 2700 is red with warning "FAST"
cht at most 400 is green
hot: cht above 400 is red with warning "CHT {n}"
when rpm below 500 and any cht above 300 then caution "COOL DOWN"
busy: when rpm above 2000 then advisory "BUSY"
"""
ALERTS = {"fast": "warning", "hot": "warning", "alert_1": "caution", "busy": "advisory"}
RANK = ("advisory", "caution", "warning")


def lamp(text: str, *shows: str) -> str:
    return f'lamp "{text}" shows {" and ".join(shows)}, sequence A without lock-in, acknowledged by ack\n'


def found(text: str) -> list[Finding]:
    return [one for one in loads(HEAD + text).check().findings if one.code.name == "unlit-alert"]


SHOWN = (*RANK, "fast", "hot", "busy")


@pytest.mark.parametrize(
    "shows", [one for size in (1, 2, 3) for one in itertools.combinations(SHOWN, size)], ids=" ".join
)
def test_which_are_told(shows: tuple[str, ...]) -> None:
    """Whether in one lamp or one lamp each."""
    lit = {label for label, level in ALERTS.items() if label in shows or level in shows}
    mildest = min(RANK.index(ALERTS.get(one, one)) for one in shows)
    wanted = [
        (level, [label for label, own in ALERTS.items() if own == level and label not in lit])
        for level in reversed(RANK)
        if RANK.index(level) >= mildest
    ]
    wanted = [(level, labels) for level, labels in wanted if labels]
    for lamps in (lamp("ALL", *shows), "".join(lamp(one.upper(), one) for one in shows)):
        told = found(lamps)
        assert sorted(list(one.statements) for one in told) == sorted(labels for _, labels in wanted)
        assert all(one.severity.word == "note" for one in told)
        for one in told:
            [level] = {ALERTS[label] for label in one.statements}
            assert f"no lamp shows the {level}" in one.message
            assert f"shows a{'n' if mildest == 0 else ''} {RANK[mildest]}" in one.message


def test_rules_without_a_lamp_are_left_alone() -> None:
    assert found("") == []
    [proof] = [one for one in loads(HEAD + lamp("W", *RANK)).check().proved if one.check == "unlit-alert"]
    assert proof.queries == 0
    assert not [one for one in loads(HEAD).check().proved if one.check == "unlit-alert"]


def test_the_words_and_the_place() -> None:
    [one] = found(lamp("CAUTION", "caution"))
    assert one.message == (
        'no lamp shows the warnings "FAST" (fast) and "CHT {n}" (hot), though the lamp "CAUTION" shows a caution'
    )
    assert one.where is not None
    assert one.where.line == 5
    [one] = found(lamp("BUSY", "busy") + lamp("W", "warning"))
    assert one.message == 'no lamp shows the caution "COOL DOWN" (alert_1), though the lamp "BUSY" shows an advisory'


def test_one_alert_can_be_accepted_and_the_others_stay() -> None:
    text = lamp("CAUTION", "caution") + 'accept unlit-alert on hot because "it has a column of lights of its own"\n'
    told = {one.statements: one.accepted for one in found(text)}
    assert told == {("hot",): "it has a column of lights of its own", ("fast",): None}


def test_it_is_told_where_no_state_is_possible_too() -> None:
    assert len(found(lamp("CAUTION", "caution") + "assume rpm above 3000\nassume rpm below 100\n")) == 1
