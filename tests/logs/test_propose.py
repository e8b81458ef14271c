"""Which column of a log is proposed for which quantity, by the words of its heading.

Source: the documented behaviour (grammar/LOGS.md): words end at a small letter before a capital, and one
letter stands for pressure or temperature beside a word that is known.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.propose import propose
from alertlang.replay.wanted import wanted_of

# In % for there is no other unit of its kind: nothing is doubtful but the names.
RULES = loads(
    """rules "odd" version 1
quantity oil_temp "Oil temperature" from 0 to 100 %
quantity oil_pressure "Oil pressure" from 0 to 100 %
quantity fuel_flow "Fuel flow" from 0 to 100 %
quantity fuel_pressure "Fuel pressure" from 0 to 100 %
quantity coolant_temp "Coolant temperature" from 0 to 100 %
quantity cht[2] "Cylinder head temperature" from 0 to 100 %
switch door "Cabin door" closed, open
"""
).model


def proposed(folder: Path, *headings: str) -> dict[str, tuple[str, str]]:
    """The column of each quantity and switch that has one, and how sure that is said to be."""
    (folder / "log.csv").write_text(
        ",".join(("Time", *headings)) + "\n" + "0,1,1,1,1\n1,1,1,1,1\n".replace(",1,1,1,1", ",1" * len(headings))
    )
    text = propose(folder / "log.csv", wanted_of(RULES), "log.csv")
    data = tomllib.loads(text)
    lines = text.splitlines()
    found = {}
    for name, column in {**data["columns"], **data.get("switches", {})}.items():
        (place,) = [i for i, one in enumerate(lines) if one.startswith((f"{name} = ", f'"{name}" = '))]
        found[name] = (column["column"], lines[place - 1].removeprefix("# ").split(":")[0])
    return found


@pytest.mark.parametrize(
    ("temp", "pressure", "flow"),
    [("OilT", "OilP", "FF"), ("OilTemp", "OilPres", "FuelFlow"), ("Oil T", "Oil P", "Fuel Flow"),
     ("oil_t", "oil_p", "fuel_flow"), ("OIL-T", "OIL-P", "FUEL-FLOW"), ("T Oil", "P Oil", "Flow Fuel"),
     ("Oil T (%)", "OilP (%)", "FF [%]"), ("Oil Temp deg", "Oil press no 1", "Fuel flow")],
)  # fmt: skip
def test_short_words_are_read(tmp_path: Path, temp: str, pressure: str, flow: str) -> None:
    assert proposed(tmp_path, temp, pressure, flow) == {
        "oil_temp": (temp, "sure"), "oil_pressure": (pressure, "sure"), "fuel_flow": (flow, "sure"),
    }  # fmt: skip


def test_a_letter_takes_its_word_from_the_one_beside_it(tmp_path: Path) -> None:
    assert proposed(tmp_path, "FuelP", "OilP", "CoolantT", "Oil T") == {
        "fuel_pressure": ("FuelP", "sure"), "oil_pressure": ("OilP", "sure"),
        "coolant_temp": ("CoolantT", "sure"), "oil_temp": ("Oil T", "sure"),
    }  # fmt: skip


@pytest.mark.parametrize("heading", ["T", "P", "Xyz T", "Xyz P", "T P"])
def test_a_letter_alone_or_beside_anything_is_no_word(tmp_path: Path, heading: str) -> None:
    assert proposed(tmp_path, heading) == {}


WAYS = [
    "_".join,
    " ".join,
    "-".join,
    lambda words: "_".join(words).upper(),
    lambda words: " ".join(words).upper(),
    lambda words: " ".join(one.capitalize() for one in words),
    lambda words: "".join(one.capitalize() for one in words),
    lambda words: words[0] + "".join(one.capitalize() for one in words[1:]),
]
# Each with a quantity or a switch that it is meant for; a number stands where an array has one.
WORDS = [
    ("oil", "temp"), ("oil", "t"), ("oil", "p"), ("oil", "press"), ("fuel", "flow"), ("fuel", "p"),
    ("fuel", "pressure"), ("coolant", "t"), ("coolant", "temperature"), ("cht", "1"), ("cabin", "door"),
    ("cylinder", "head", "temp", "2"), ("head", "t", "1"), ("cyl", "head", "t", "2"), ("temp", "coolant"),
    ("engine", "hours"), ("total", "t"),
]  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(st.sampled_from(WORDS), st.sampled_from(WAYS)), min_size=1, max_size=5, unique_by=lambda one: one[0]
    )
)
def test_how_words_are_written_changes_nothing(tmp_path: Path, drawn: list[tuple[tuple[str, ...], object]]) -> None:
    plain = {" ".join(words): way(list(words)) for words, way in drawn}  # type: ignore[operator]
    found = proposed(tmp_path, *plain)
    written = proposed(tmp_path, *plain.values())
    assert written == {name: (plain[column], sure) for name, (column, sure) in found.items()}
