"""A misspelt name finds the one that was meant, and nothing finds an unrelated one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.text.suggest import nearest

NAMES = (
    "rpm", "oil_temp", "oil_pressure", "cht", "egt", "manifold_pressure", "fuel_flow", "airspeed", "canopy",
    "flaps",
)  # fmt: skip
WORDS = st.text(alphabet="abeloprtm_", max_size=8)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("oil_temp", "oil_temp"),
        ("oil_tmp", "oil_temp"),
        ("Oil_Temp", "oil_temp"),
        ("oiltemp", "oil_temp"),
        ("oil-temp", "oil_temp"),
        ("oil_temperature", None),  # twice as long: more than a slip
        ("oil_press", "oil_pressure"),
        ("manifold_presure", "manifold_pressure"),
        ("fule_flow", "fuel_flow"),
        ("RPM", "rpm"),
        ("r.p.m.", "rpm"),
        ("r p m ", "rpm"),
        ("r-p-m-", "rpm"),
        ("_r_p_m", "rpm"),
        ("airspede", "airspeed"),
        ("rmp", "rpm"),
        ("prm", "rpm"),
        ("mpr", None),  # first and last letter are no neighbours
        ("cth", "cht"),
        ("flap", "flaps"),
        ("canpoy", "canopy"),
        ("voltage", None),
        ("x", None),
        ("map", None),
        ("", None),
        ("___", None),
    ],
)
def test_finds_what_was_meant_or_nothing(written: str, meant: str | None) -> None:
    assert nearest(written, NAMES) == meant


def test_no_candidates() -> None:
    assert nearest("rpm", []) is None


def test_equally_good_candidates_alphabetically() -> None:
    assert nearest("cht_3", ["cht_2", "cht_1", "cht_4"]) == "cht_1"


def test_name_written_exactly_comes_before_one_that_differs_unnoticed() -> None:
    assert nearest("oiltemp", ["oil_temp", "oiltemp"]) == "oiltemp"


def test_better_candidate_wins_over_earlier_one() -> None:
    assert nearest("oil_temp_r", ["oil_temp", "oil_temp_l", "oil_temp_rh"]) == "oil_temp_rh"


def test_candidates_may_be_a_generator() -> None:
    assert nearest("rom", (name for name in ("cht", "flaps"))) is None
    assert nearest("rpmm", (name for name in ("rpm", "cht"))) == "rpm"


def test_very_long_word_is_no_misspelling() -> None:
    assert nearest("oil_temp" * 10_000, NAMES) is None


@given(st.sampled_from([name for name in NAMES if len(name) >= 5]), st.data())
def test_one_letter_dropped_or_doubled_is_found(name: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(name) - 1))
    assert nearest(name[:place] + name[place + 1 :], [name]) == name
    assert nearest(name[:place] + name[place] + name[place:], [name]) == name


@given(WORDS, st.lists(WORDS, max_size=8), st.data())
def test_order_of_candidates_does_not_matter(name: str, candidates: list[str], data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations([*candidates, *candidates]))
    found = nearest(name, candidates)
    assert nearest(name, shuffled) == found
    assert found is None or found in candidates


@given(st.text(alphabet="abcdef", min_size=1), st.text(alphabet="uvwxyz", min_size=1))
def test_names_without_a_common_letter_are_never_offered(name: str, candidate: str) -> None:
    assert nearest(name, [candidate]) is None
