"""misfit-range: what contradicts itself in one file, and what only seems to."""

from __future__ import annotations

from pathlib import Path

import pytest

from alertlang.api import load

HEAD = """profile "fitted" version 1
source NOTE common practice
quantity oil_temp from -40 to 300 F, step 1 F, source NOTE
switch pump off, on
condition warm means oil_temp above 100 F, source NOTE
assume pump is off or oil_temp below 300 F, source NOTE
"""

WRONG = {
    "past a limit": (
        "a: limit oil_temp at most 240 F, source NOTE\nb: normal oil_temp from 100 to 245 F, source NOTE",
        [("b", "a")],
    ),
    "past a limit that holds whenever it does": (
        "a: when pump is on limit oil_temp at most 240 F, source NOTE\n"
        "b: when pump is on and warm normal oil_temp from 100 to 245 F, source NOTE",
        [("b", "a")],
    ),
    "normal and precaution": (
        "a: precaution oil_temp from 200 to 240 F, source NOTE\nb: normal oil_temp from 100 to 201 F, source NOTE",
        [("b", "a")],
    ),
    "normal runs into avoid": (
        "a: avoid oil_temp from 200 to 240 F, source NOTE\nb: normal oil_temp from 100 to 210 F, source NOTE",
        [("b", "a")],
    ),
    "precaution outside": (
        "a: limit oil_temp at most 240 F, source NOTE\nb: precaution oil_temp from 241 to 250 F, source NOTE",
        [("b", "a")],
    ),
    "nothing allowed": (
        "a: limit oil_temp at most 100 F, source NOTE\nb: limit oil_temp at least 240 F, source NOTE",
        [("a", "b")],
    ),
    "never broken": ("a: when warm limit oil_temp at least 75 F, source NOTE", [("a",)]),
}
RIGHT = {
    "shared edge": "a: limit oil_temp at most 240 F, source NOTE\nb: normal oil_temp from 100 to 240 F, source NOTE",
    "allowed for a while": (
        "a: limit oil_temp at most 240 F except for 5 min, source NOTE\n"
        "b: normal oil_temp from 100 to 250 F, source NOTE"
    ),
    "contexts that only partly overlap": (
        "a: when pump is on limit oil_temp at most 240 F, source NOTE\n"
        "b: normal oil_temp from 100 to 245 F, source NOTE"
    ),
    "edge of a precaution": (
        "a: precaution oil_temp from 200 to 240 F, source NOTE\nb: normal oil_temp from 100 to 200 F, source NOTE"
    ),
    "avoid inside normal": (
        "a: avoid oil_temp from 200 to 210 F, source NOTE\nb: normal oil_temp from 100 to 240 F, source NOTE"
    ),
    "precaution that reaches past": (
        "a: limit oil_temp at most 240 F, source NOTE\nb: precaution oil_temp above 220 F, source NOTE"
    ),
    "can be broken": "a: when warm limit oil_temp at least 120 F, source NOTE",
}


def found(path: Path) -> list[tuple[str, ...]]:
    return [one.statements for one in load(path).check().findings if one.code.name == "misfit-range"]


def in_file(folder: Path, text: str) -> Path:
    path = folder / "fitted.profile"
    path.write_text(HEAD + text + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("what", WRONG)
def test_what_does_not_fit_is_said_once(what: str, tmp_path: Path) -> None:
    text, pairs = WRONG[what]
    assert found(in_file(tmp_path, text)) == pairs


@pytest.mark.parametrize("what", RIGHT)
def test_what_fits_is_not_said(what: str, tmp_path: Path) -> None:
    assert found(in_file(tmp_path, RIGHT[what])) == []


def test_another_file_may_be_tighter(tmp_path: Path) -> None:
    """An aircraft is held tighter than its engine: nothing in either is wrong."""
    in_file(tmp_path, "b: normal oil_temp from 100 to 240 F, source NOTE")
    other = tmp_path / "aircraft.profile"
    other.write_text(
        'profile "aircraft" version 1\nuse profile "fitted"\nsource NOTE common practice\n'
        "a: limit oil_temp at most 225 F, source NOTE\n",
        encoding="utf-8",
    )
    assert found(other) == []
    other.write_text(other.read_text() + "b2: normal oil_temp from 100 to 240 F, source NOTE\n", encoding="utf-8")
    assert found(other) == [("b2", "a")]
