"""Which column of a log is proposed for which quantity, by the words of its heading.

Source: the documented behaviour (grammar/LOGS.md): words end at a small letter before a capital, and one
letter stands for pressure or temperature beside a word that is known.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

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


SHOP = loads(
    """rules "shop" version 1
quantity volts "Bus voltage" from 0 to 20 V
switch alternator "Alternator" offline, online
switch flaps "Flaps" up, landing
volts below 12 V is red with caution "LOW VOLTS"
when flaps is landing then advisory "FLAPS"
when alternator is offline then advisory "ALT"
"""
).model


def shop_map(folder: Path, heading: str, row: Callable[[int], str], count: int = 200) -> tuple[dict[str, Any], str]:
    """What is proposed, and its text."""
    path = folder / "log.csv"
    path.write_text(f"Time,{heading}\n" + "".join(f"{n},{row(n)}\n" for n in range(count)), encoding="utf-8")
    text = propose(path, wanted_of(SHOP), "log.csv")
    return tomllib.loads(text), text


def on_change(n: int) -> str:
    """Volts, and two switches that are written only where they change."""
    alternator, flaps = {0: "ON", 90: "OFF"}.get(n, ""), {0: "UP", 120: "LDG"}.get(n, "")
    return f"{13 + n % 10 / 10},{alternator},{flaps}"


def test_short_names_are_found_by_what_is_in_their_cells(tmp_path: Path) -> None:
    found, _ = shop_map(tmp_path, "BUS V,ALT,FLAP", on_change)
    assert found["columns"] == {"volts": {"column": "BUS V", "unit": "V"}}
    assert found["switches"]["flaps"] == {
        "column": "FLAP", "positions": {"UP": "up", "LDG": "landing"}, "hold": "until changed",
    }  # fmt: skip
    alternator = found["switches"]["alternator"]
    assert alternator.pop("doubt") == "ALT may be short for something else"
    assert alternator == {
        "column": "ALT", "positions": {"ON": "online", "OFF": "offline"}, "hold": "until changed",
    }  # fmt: skip


def test_cells_named_like_the_positions_are_proposed_in_doubt(tmp_path: Path) -> None:
    found, _ = shop_map(tmp_path, "BUS V,Xyz,S2", on_change)
    assert found["switches"]["flaps"]["column"] == "S2"
    assert found["switches"]["flaps"]["doubt"] == "its name is not like it, only what is written in it"


def test_an_altitude_is_no_alternator(tmp_path: Path) -> None:
    found, text = shop_map(tmp_path, "BUS V,ALT,FLAP", lambda n: f"13,{1000 + n},up")
    assert found["switches"]["alternator"] == {"doubt": "no column looks like it"}
    assert "#   ALT: 1000 to 1199\n" in text


def test_what_is_not_used_says_what_is_in_it(tmp_path: Path) -> None:
    _, text = shop_map(tmp_path, "Xa,Xb,Xc,Xd", lambda n: f"{n},{'red' if n == 5 else ''},,{'abc'[n % 3]}")
    assert text.partition("# Not used:\n")[2].splitlines() == [
        "#   Xa: 0 to 199", "#   Xb: words red; 1 of 200 cells filled", "#   Xc: empty", "#   Xd: words a, b, c",
    ]  # fmt: skip
    _, text = shop_map(tmp_path, "BUS V,Xa,Xb", lambda n: on_change(n).replace("LDG", "s").replace("UP", "r"))
    assert '#   Xb: words r, s; written only where it changes (hold = "until changed")\n' in text


def test_a_column_of_marks_is_proposed(tmp_path: Path) -> None:
    """By its name outright; a note only to be looked at; what is full of marks is no such column."""
    for name in ("Mark", "Pilot mark", "EVENT"):
        assert shop_map(tmp_path, f"BUS V,{name}", lambda n: f"13,{1 if n == 7 else 0}")[0]["mark"] == {"column": name}
    found, text = shop_map(tmp_path, "BUS V,Note", lambda n: f"13,{'x' if n == 7 else ''}")
    assert "mark" not in found
    assert "# 1 of the first 200 rows marked in Note: where these are marks of the pilot, take the # away:\n" in text
    assert tomllib.loads(text.replace("# mark", "mark"))["mark"] == {"column": "Note"}
    assert "mark =" not in shop_map(tmp_path, "BUS V,Mark", lambda n: "13,x")[1]


def test_a_button_is_proposed_only_to_be_looked_at(tmp_path: Path) -> None:
    found, text = shop_map(tmp_path, "BUS V,Ack button", lambda n: f"13,{n % 2}")
    assert "inputs" not in found
    used = tomllib.loads(text.replace("# [inputs]", "[inputs]").replace("# acknowledge", "acknowledge"))
    assert used["inputs"] == {"acknowledge": {"column": "Ack button"}}


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
