"""`--output json`: one object per file, each on a line of its own, in exactly the documented shape.

Source: the documented shape, restated in SHAPE below. Values of quantities are strings: exact decimals, or fractions
where no decimal is exact.
"""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

import alertlang
from alertlang.cli.app import app
from alertlang.findings.codes import CODES
from alertlang.text.resources import examples_dir
from alertlang.units.unit import UNITS

EXAMPLES = sorted(examples_dir().rglob("*.alert"))

FILE = {"name": str, "version": (int, type(None)), "path": str}
TOP = {
    "tool": dict, "rules": dict, "profiles": list, "findings": list, "claims": list, "proved": list,
    "assumptions": list, "numbers": dict,
}  # fmt: skip
TOOL = {"name": str, "version": str, "solver": str}
FINDING = {
    "code": str, "name": str, "severity": str, "message": str, "where": dict, "quantity": (str, type(None)),
    "statements": list, "limit": (str, type(None)), "witness": (dict, type(None)), "told": dict,
    "region": (dict, type(None)), "reaction": (dict, type(None)), "suggestion": (str, type(None)),
    "accepted": (str, type(None)), "proposal": (dict, type(None)), "mended_with": (dict, type(None)),
}  # fmt: skip
WHERE = {"path": str, "line": int, "column": int, "end_line": int, "end_column": int}
CLAIM = {"label": str, "verdict": str, "witness": (dict, type(None)), "told": dict, "assumptions": list}
PROVED = {"check": str, "quantity": (str, type(None)), "queries": int}
VALUE = {"value": str, "unit": str}
STRETCH = {"from": str, "to": str, "from_included": bool, "to_included": bool, "unit": str}

NUMBER = re.compile(r"-?(\d+(\.\d*[1-9])?|\d+/\d+)")

TWO_SIDES = """rules "sides" version 1
source S common practice
quantity oil_temp from -40 to 300 F, step 1 F
quantity coolant from 0 to 100 C
switch pump off, low, high
condition cold means oil_temp below 100 F
limit coolant at most 210 F, needs warning, source S
coolant at most 211 F is green
coolant above 211 F is red
when pump is not off then oil_temp at most 200 F is green unless cold
accept gap on oil_temp because "a [psi] reason"
"""


def said(*words: str, stdin: str | None = None) -> tuple[int, list[dict[str, Any]]]:
    result = CliRunner().invoke(app, [*words, "--output", "json"], input=stdin)
    assert result.stderr == ""
    assert result.stdout.endswith("\n")
    return result.exit_code, [json.loads(line) for line in result.stdout.splitlines()]


def has_shape(value: Any, shape: dict[str, Any]) -> None:
    assert list(value) == list(shape)
    for key, kind in shape.items():
        assert isinstance(value[key], kind), (key, value[key])
        # A truth value is a number to Python, and none to a reader of JSON.
        assert isinstance(value[key], bool) is (kind is bool), key


def is_number(text: str) -> Fraction:
    assert NUMBER.fullmatch(text), text
    return Fraction(text)


def is_witness(witness: dict[str, Any] | None) -> None:
    for fact in (witness or {}).values():
        if isinstance(fact, dict):
            has_shape(fact, VALUE)
            is_number(fact["value"])
            assert fact["unit"] in UNITS or fact["unit"] == ""
        else:
            assert isinstance(fact, bool | str)


def is_told(told: dict[str, Any], witness: dict[str, Any] | None) -> None:
    """What the box sees otherwise than it is."""
    for name, seen in told.items():
        assert witness is not None
        assert isinstance(seen, bool)
        assert witness[name] is (not seen)


def is_region(region: dict[str, Any] | None) -> None:
    for part in (region or {}).values():
        if isinstance(part, bool):
            continue
        if set(part) == {"positions"}:
            assert part["positions"]
            assert all(isinstance(position, str) for position in part["positions"])
            continue
        has_shape(part, STRETCH)
        assert is_number(part["from"]) <= is_number(part["to"])
        assert part["unit"] in UNITS or part["unit"] == ""


def is_report(report: dict[str, Any]) -> None:
    has_shape(report, TOP)
    has_shape(report["tool"], TOOL)
    assert report["tool"]["name"] == "alertlang"
    assert report["tool"]["version"] == alertlang.__version__
    assert re.fullmatch(r"z3 \d+\.\d+\.\d+", report["tool"]["solver"])
    for file in (report["rules"], *report["profiles"]):
        has_shape(file, FILE)
        assert not file["path"].startswith("/")
    for one in report["findings"]:
        has_shape(one, FINDING)
        assert CODES[one["code"]].name == one["name"]
        assert one["severity"] in {"error", "warning", "note"}
        has_shape(one["where"], WHERE)
        assert all(isinstance(label, str) for label in one["statements"])
        is_witness(one["witness"])
        is_told(one["told"], one["witness"])
        is_region(one["region"])
    for claim in report["claims"]:
        has_shape(claim, CLAIM)
        assert claim["verdict"] in {"proved", "refuted", "vacuous", "undecided"}
        is_witness(claim["witness"])
        is_told(claim["told"], claim["witness"])
    for proof in report["proved"]:
        has_shape(proof, PROVED)
        assert proof["check"] in {code.name for code in CODES.values()}


@pytest.fixture(autouse=True)
def in_checkout(checkout: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files are named as on the command line, so that no path of the machine gets into a report."""
    monkeypatch.chdir(checkout)


def shown(path: Path) -> str:
    return f"examples/{path.relative_to(examples_dir()).as_posix()}"


def test_every_example_has_the_shape_and_a_line_of_its_own(share: int) -> None:
    examples = EXAMPLES[::share]
    code, reports = said("check", *map(shown, examples))
    assert code == 1
    assert [report["rules"]["path"] for report in reports] == [shown(path) for path in examples]
    for report in reports:
        is_report(report)


def test_vetted_rules_in_full() -> None:
    code, [report] = said("check", "examples/02-bramble/bramble.alert")
    assert code == 0
    assert report["rules"] == {"name": "bramble", "version": 1, "path": "examples/02-bramble/bramble.alert"}
    names = [profile["name"] for profile in report["profiles"]]
    assert names == ["continental-iof-240-b", "bramble-airframe", "electrical-14v"]
    assert report["profiles"][0]["path"] == "stdlib_profiles/engines/continental-iof-240-b.profile"
    [advice] = report["findings"]
    assert (advice["code"], advice["severity"], advice["statements"]) == ("AL609", "note", ["overspeed"])
    assert advice["accepted"]
    warm = next(claim for claim in report["claims"] if claim["label"] == "warm")
    assert warm == {"label": "warm", "verdict": "proved", "witness": None, "told": {}, "assumptions": []}
    [gap] = [proof for proof in report["proved"] if proof["check"] == "gap" and proof["quantity"] == "rpm"]
    assert gap["queries"] > 0


def test_a_finding_in_full() -> None:
    _, [report] = said("check", "examples/02-bramble/mistakes/unguarded-limit.alert")
    [found] = [one for one in report["findings"] if one["accepted"] is None]
    assert found["code"] == "AL301"
    assert found["severity"] == "error"
    assert found["quantity"] == "rpm"
    assert found["limit"] == "warm_up"
    assert found["statements"][0] == "cold_idle"
    assert (found["where"]["line"], found["where"]["column"]) == (7, 1)
    assert found["where"]["path"] == "examples/02-bramble/mistakes/unguarded-limit.alert"
    assert found["region"] == {
        "rpm": {"from": "1200", "to": "1700", "from_included": False, "to_included": True, "unit": "rpm"},
        "oil_temp": {"from": "-40", "to": "75", "from_included": True, "to_included": False, "unit": "F"},
    }
    assert 1200 < Fraction(found["witness"]["rpm"]["value"]) <= 1700
    assert Fraction(found["witness"]["oil_temp"]["value"]) < 75
    assert found["reaction"] is None
    assert found["accepted"] is None


def test_fractions_switches_and_conditions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("sides.alert").write_text(TWO_SIDES, "utf-8")
    _, [report] = said("check", "sides.alert")
    is_report(report)
    unguarded = next(f for f in report["findings"] if f["name"] == "unguarded-limit")
    # 210 F are 98 8/9 C, and 211 F are 99 4/9 C.
    assert unguarded["region"]["coolant"]["from"] == "890/9"
    assert unguarded["region"]["coolant"]["to"] == "895/9"
    gaps = [f for f in report["findings"] if f["name"] == "gap"]
    assert {f["accepted"] for f in gaps} == {"a [psi] reason"}
    assert any(f["region"].get("pump") == {"positions": ["off"]} for f in gaps)
    assert any(f["witness"].get("cold") is True for f in gaps)
    assert {f["witness"]["pump"] for f in gaps if "pump" in f["witness"]} <= {"off", "low", "high"}


@pytest.mark.parametrize("command", ["check", "prove"])
def test_unreadable_files_have_the_shape_too(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("wrong.alert").write_text('rules "wrong" version 2\nrpm is high\noil above 5 is red\n', "utf-8")
    Path("empty.alert").write_text("", "utf-8")
    code, reports = said(command, "wrong.alert", "absent.alert", "empty.alert")
    assert code == 2
    for report in reports:
        is_report(report)
        assert report["proved"] == report["claims"] == []
    wrong, absent, empty = reports
    assert wrong["rules"] == {"name": "wrong", "version": 2, "path": "wrong.alert"}
    assert [(f["code"], f["where"]["line"]) for f in wrong["findings"]] == [("AL102", 2), ("AL104", 3)]
    assert absent["rules"] == {"name": "", "version": None, "path": "absent.alert"}
    assert absent["findings"][0]["where"]["path"] == "absent.alert"
    assert [f["code"] for f in empty["findings"]] == ["AL109"]


def test_prove_has_the_shape_without_the_checks() -> None:
    code, [report] = said("prove", "examples/02-bramble/mistakes/unguarded-limit.alert")
    assert code == 1
    is_report(report)
    assert report["findings"] == report["proved"] == []
    refuted = [claim for claim in report["claims"] if claim["verdict"] == "refuted"]
    assert [claim["label"] for claim in refuted] == ["warm", "oil_probe_dead"]
    assert set(refuted[0]["witness"]) >= {"rpm", "oil_temp", "running"}


def test_profiles_check_has_the_shape() -> None:
    code, reports = said("profiles", "check")
    assert code == 0
    for report in reports:
        is_report(report)


def test_profiles_show_has_one_line() -> None:
    code, [sheet] = said("profiles", "show", "continental-iof-240-b")
    assert code == 0
    assert list(sheet) == [
        *("profile", "about", "engine", "sources", "statements", "reaction_times", "numbers", "searched", "comparisons")
    ]
    has_shape(sheet["profile"], FILE)
    limit = next(s for s in sheet["statements"] if s["label"] == "rpm_limit")
    assert list(limit) == ["kind", "label", "text", "sources", "status"]
    assert limit["status"] == "from memory"


def test_same_input_same_bytes() -> None:
    words = ["check", "--output", "json", *map(shown, EXAMPLES[::4])]
    first, second = (CliRunner().invoke(app, words).stdout for _ in range(2))
    assert first == second
