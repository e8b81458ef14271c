"""The same text, the same bytes; and what has nothing to do with each other may stand in any order."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import alertlang.api as api
from alertlang.findings.finding import Finding
from tests.helpers.generate import HEAD, Statement, Text, rule_sets

# Several gaps, contexts and assumptions, an array, ties between equally small sets of causes.
TANGLED = (
    HEAD
    + """
quantity rpm from 0 to 40 rpm, step 10 rpm
quantity temp from -20 to 20 C, step 4 C
quantity cht[3] from 0 to 6, step 2
switch canopy shut, open
switch flaps up, half, down
condition running means rpm above 5
condition cold means temp below 33 F and not (flaps is down)
condition busy means running and (cold or canopy is open)
s1: assume when not running then temp below 9 or canopy is open
s2: assume any cht below 5 or flaps is half
s3: assume when flaps is half then not running
b1: when cold then rpm from 10 to 20 is green
b2: when busy then rpm above 20 is yellow with caution "R" unless any cht above 3
b3: temp above 33 F is red with warning "T" unless flaps is up
b4: cht at most 3 is green unless running and cht[2] above 1
b5: when cht[1] above 2 then cht above 4 is red with warning "C {n}"
b6: when canopy is open or temp above 9 then rpm from 15 to 40 is white
b7: rpm from 10 to 20 is yellow
b8: rpm from 0 to 40 is yellow
b9: when busy and cold and temp above 15 then rpm below 9 is blue
a1: when busy and not running then advisory "A"
l1: when running limit temp at most 9, needs warning, source NOTE
l2: limit cht at most 5, needs caution, source NOTE
l3: avoid rpm from 20 to 29, needs caution, source NOTE
l4: when cold and temp above 15 precaution rpm at most 10, source NOTE
p1: prove when running then cht above 5 is red
p2: prove when cold then quiet
p3: prove when flaps is half then rpm above 20 is never red
p4: prove when temp above 9 and not running then raises warning
"""
)


# Proposals are tried by checking the whole again: a few of them will do.
FEW = "".join(line for line in TANGLED.splitlines(keepends=True) if "cht" not in line)
CHECKED = """\
from alertlang import api
print(api.load("tangled.alert").check().to_json())
"""


def run(folder: Path, seed: str, *words: str) -> bytes:
    """What a fresh process writes, with dictionaries and sets hashed in its own way."""
    environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(api.__file__).parents[1])}
    done = subprocess.run([sys.executable, *words], cwd=folder, env=environment, capture_output=True, check=False)
    assert done.returncode in {0, 1}, done.stderr.decode()
    return done.stdout


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "seeds"),
    [
        (("-c", CHECKED), ("0", "1", "4242")),
        (("-m", "alertlang", "check", "--output", "json", "few.alert"), ("0", "4242")),
    ],
    ids=["checked", "with proposals tried"],
)
def test_fresh_processes_write_the_same_bytes(words: tuple[str, ...], seeds: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "tangled.alert").write_text(TANGLED, encoding="utf-8")
    (tmp_path / "few.alert").write_text(FEW, encoding="utf-8")
    first, *others = (run(tmp_path, seed, *words) for seed in seeds)
    for code in ("AL201", "AL203", "AL301", "AL302"):
        assert code.encode() in first
    assert b'"refuted"' in first
    assert others == [first] * len(others)


def components(statements: tuple[Statement, ...]) -> list[list[Statement]]:
    """Statements apart from one another: no name is in two of the groups. Order is kept within each."""
    groups: list[tuple[set[str], list[int]]] = []
    for place, one in enumerate(statements):
        names, members = set(one.about), [place]
        apart = []
        for group in groups:
            if group[0] & names:
                names |= group[0]
                members += group[1]
            else:
                apart.append(group)
        groups = [*apart, (names, members)]
    return [[statements[place] for place in sorted(members)] for _, members in groups]


@st.composite
def shuffled(draw: st.DrawFn) -> tuple[str, str]:
    """A text, and the same one with independent statements in another order."""
    generated = draw(rule_sets(bands=(2, 6)))
    groups = components(tuple(one for one in generated.statements if one.about))
    assume(len(groups) > 1)
    order = [i for i, group in enumerate(groups) for _ in group]
    mixed = draw(st.permutations(order))
    left = [iter(group) for group in groups]
    about_all = [one for one in generated.statements if not one.about]
    return generated.text, Text((*(next(left[i]) for i in mixed), *about_all)).text


def but_for_place(one: Finding) -> tuple[object, ...]:
    """A finding without the lines it names."""
    return (
        one.code.code,
        re.sub(r"line \d+", "line", one.message),
        one.quantity,
        one.statements,
        one.limit,
        None if one.witness is None else sorted(one.witness.items()),
        None if one.region is None else sorted((name, repr(part)) for name, part in one.region.items()),
        None if one.suggestion is None else one.suggestion.text,
        one.advice,
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(shuffled())
def test_independent_statements_may_stand_in_any_order(texts: tuple[str, str]) -> None:
    first, second = (api.loads(text).check() for text in texts)
    codes = {one.code.code for one in first.findings}
    # Of two equally small impossible sets the first in the text is named.
    assume("AL404" not in codes)
    one, other = (sorted(map(repr, map(but_for_place, report.findings))) for report in (first, second))
    assert one == other
    assert {c.label: c.verdict for c in first.claims} == {c.label: c.verdict for c in second.claims}


@pytest.mark.parametrize("times", [3])
def test_checking_again_finds_the_same(times: int) -> None:
    rules = api.loads(TANGLED)
    assert len({repr(rules.check().findings) for _ in range(times)}) == 1
