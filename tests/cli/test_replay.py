"""`alertlang replay`: what is said, how it ends, and the shape of the JSON.

Source: the documented command line, the documented shape of a replayed log and the exit codes (0; 1 with --against if
the two rule sets do something different; 2 for what cannot be used; 3 for what was misread).
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.text.resources import examples_dir

RULES = """\
rules "small" version 1
quantity x from 0 to 9
x at most 5 is green
high: x above 5 is red with warning "HIGH {brackets} [x]" after 1 s
"""
LOG = "time,x\n0,1\n1,6\n2,6\n3,8\n4,1\n5,7\n6,7\n"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, ["replay", *map(str, words)])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "small.alert").write_text(RULES, encoding="utf-8")
    (tmp_path / "other.alert").write_text(RULES.replace("above 5", "above 6.5"), encoding="utf-8")
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    (tmp_path / "broken.csv").write_text("nothing,here\n1,2\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_json_is_one_object_per_log_in_the_documented_shape(folder: Path) -> None:
    result = run("small.alert", "log.csv", "log.csv", "--output", "json")
    assert result.exit_code == 0
    first, second = result.stdout.splitlines()
    assert first == second
    found = json.loads(first)
    assert found["log"] == "log.csv"
    assert (found["rows"], found["segments"], found["seconds"], found["problems"]) == (7, 1, "6", [])
    wanted = {"statement": "high", "element": None, "text": "HIGH {brackets} [x]", "level": "warning"}
    told = [{key: one[key] for key in (*wanted, "start", "end", "seconds")} for one in found["alerts"]]
    assert told == [
        wanted | {"start": "2", "end": "4", "seconds": "2"},
        wanted | {"start": "6", "end": None, "seconds": "0"},
    ]
    assert found["alerts"][0]["worst"] == {"reading": "x", "value": "8", "unit": "", "time": "3", "past": "3"}
    keys = ("quantity", "element", "colour", "start", "end")
    assert [tuple(one[key] for key in keys) for one in found["colours"]] == [
        ("x", None, "green", "0", "1"),
        ("x", None, "red", "1", "4"),
        ("x", None, "green", "4", "5"),
        ("x", None, "red", "5", None),
    ]
    metrics = found["metrics"]
    assert (metrics["alerts"], metrics["alerts_per_hour"], metrics["worst_10_min"], metrics["floods"]) == (
        2,
        "1200",
        2,
        0,
    )
    assert (metrics["chattering"], metrics["stale"], metrics["warning_share"]) == ([], [], "1")
    assert all(one["source"] and one["status"] for one in metrics["definitions"].values())
    assert set(metrics["definitions"]) == set(metrics) - {"definitions", "levels"}


def test_problems_of_a_log_are_told_with_their_first_row(folder: Path) -> None:
    (folder / "odd.csv").write_text("time,x\n0,1\n1,\n2,40\n2,3\n1,4\n", encoding="utf-8")
    found = json.loads(run("small.alert", "odd.csv", "--output", "json").stdout)
    problems = {one["kind"]: (one["count"], one["first_row"]) for one in found["problems"]}
    assert problems == {
        "empty-cell": (1, 2),
        "out-of-range": (1, 3),
        "repeated-time": (1, 3),
        "backward-time": (1, 5),
        "often-failed": (1, None),
    }
    assert (found["rows"], found["samples"], found["segments"]) == (5, 4, 2)
    said = run("small.alert", "odd.csv", "--all").stdout
    assert "repeated-time (time): 1, first in row 3" in said
    assert "in 2 segments" in said


def test_a_log_that_cannot_be_used_is_told_and_the_others_go_on(folder: Path) -> None:
    result = run("small.alert", "broken.csv", "nowhere.csv", "log.csv")
    assert result.exit_code == 2
    assert "alertlang: broken.csv: none of its columns feeds a quantity" in result.stderr
    assert "alertlang: nowhere.csv: cannot be read" in result.stderr
    assert "warning   HIGH {brackets} [x]  2 times from 0:02, 2 s in all" in result.stdout
    assert result.stdout.count("alertlang advises and does not certify") == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nowhere.alert", "log.csv"), "nowhere.alert could not be read, and nothing was replayed"),
        (("small.alert", "log.csv", "--map", "nowhere.toml"), "nowhere.toml: cannot be read"),
        (("small.alert", "log.csv", "--against", "nowhere.alert"), "nowhere.alert could not be read"),
        (("small.alert", "."), "alertlang: .: "),
    ],
)
def test_what_cannot_be_used_ends_with_code_2(folder: Path, words: tuple[str, ...], says: str) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert says in result.stderr
    assert "Traceback" not in result.output
    assert result.stdout == ""


def test_a_log_that_was_misread_ends_with_code_3_and_its_reason_first(folder: Path) -> None:
    """Whatever came up, or did not: the unit of time is wrong."""
    (folder / "ms.csv").write_text("time,x\n" + "".join(f"{500 * n},1\n" for n in range(50)), encoding="utf-8")
    result = run("small.alert", "ms.csv")
    assert result.exit_code == 3
    head, _, rest = result.stdout.partition("Look at this first\n")
    assert rest.startswith("  time-doubtful (time): 1; read in s rows are 500 s apart")
    assert "Alerts" not in head
    assert "in ms it would be like one" in " ".join(rest.split())
    assert "say: --accept-log time-doubtful:time" in " ".join(rest.split())
    data = json.loads(run("small.alert", "ms.csv", "--output", "json").stdout)
    assert data["trusted"] is False
    assert [(one["kind"], one["look_first"], one["trusted"]) for one in data["problems"]] == [
        ("time-doubtful", True, False)
    ]
    assert run("small.alert", "log.csv", "ms.csv", "--against", "other.alert").exit_code == 3
    assert run("small.alert", "ms.csv", "nowhere.csv").exit_code == 2


@pytest.mark.parametrize("name", ["time-doubtful", "time-doubtful:time"])
def test_a_log_that_was_looked_at_is_accepted_by_name(name: str, folder: Path) -> None:
    (folder / "ms.csv").write_text("time,x\n0,1\n500,1\n1000,1\n", encoding="utf-8")
    result = run("small.alert", "ms.csv", "--accept-log", name)
    assert result.exit_code == 0
    assert "Look at this first\n  time-doubtful (time): 1" in result.stdout
    assert "(accepted)" in result.stdout
    assert "--accept-log" not in result.stdout
    (problem,) = json.loads(run("small.alert", "ms.csv", "--accept-log", name, "--output", "json").stdout)["problems"]
    assert (problem["look_first"], problem["trusted"]) == (True, True)


def test_the_logs_own_clock_stands_beside_each_time(folder: Path) -> None:
    rows = "".join(f"2026-05-03 23:59:5{8 + n},{6 if n else 1}\n" for n in range(2))
    rows += "".join(f"2026-05-04 00:00:0{n},6\n" for n in range(3))
    (folder / "night.csv").write_text("time,x\n" + rows, encoding="utf-8")
    said = run("small.alert", "night.csv").stdout
    assert "by its own clock 2026-05-03 23:59:58 to 2026-05-04 00:00:02\n" in said
    assert "at 00:00:00 (0:02) for 2 s" in said
    assert "by its own clock" in run("small.alert", "night.csv", "--against", "other.alert").stdout
    found = json.loads(run("small.alert", "night.csv", "--against", "other.alert", "--output", "json").stdout)
    assert found["differences"][0]["start_clock"] == "2026-05-03 23:59:59"


def test_what_is_accepted_covers_nothing_else(folder: Path) -> None:
    (folder / "ms.csv").write_text("time,x\n0,1\n500,1\n1000,1\n", encoding="utf-8")
    assert run("small.alert", "ms.csv", "--accept-log", "time-doubtful:other").exit_code == 3
    assert run("small.alert", "ms.csv", "--accept-log", "often-failed").exit_code == 3
    for name, hint in (("time-doubtfull", "did you mean time-doubtful?"), ("gap", "there are time-doubtful, ")):
        result = run("small.alert", "ms.csv", "--accept-log", name)
        assert result.exit_code == 2
        assert hint in " ".join(re.sub("[│╭╰─╮╯]", " ", result.stderr).split())


def test_a_map_that_doubts_itself_is_not_trusted(folder: Path) -> None:
    (folder / "map.toml").write_text('columns.x = {column = "x", doubt = "is it?"}\n', encoding="utf-8")
    result = run("small.alert", "log.csv", "--map", "map.toml")
    assert result.exit_code == 3
    assert "of x the map says: is it?" in " ".join(result.stdout.split())
    (folder / "map.toml").write_text('columns.x = {doubt = "is it there?"}\n', encoding="utf-8")
    assert run("small.alert", "log.csv", "--map", "map.toml").exit_code == 2  # no column feeds anything


def test_two_rule_sets_over_one_log(folder: Path) -> None:
    result = run("small.alert", "log.csv", "--against", "other.alert", "--output", "json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert found["same"] is False
    keys = ("kind", "start", "end", "rules", "against")
    assert [tuple(one[key] for key in keys) for one in found["differences"]] == [
        ("colour", "1", "3", "red", None),
        ("alert", "2", "4", "up", None),
    ]
    colour, alert = found["differences"]
    assert (colour["quantity"], colour["first"]["value"], colour["last"]["value"]) == ("x", "6", "6")
    assert (alert["text"], alert["first"]["value"], alert["last"]["value"]) == ("HIGH {brackets} [x]", "6", "8")
    said = run("small.alert", "log.csv", "--against", "other.alert").stdout
    assert "x: one red, other no colour\n    from 0:01 to 0:03, 2 s; x first 6, last 6\n" in said


def test_no_difference_claims_no_more_than_this_log(folder: Path) -> None:
    result = run("small.alert", "log.csv", "--against", "small.alert")
    assert result.exit_code == 0
    assert "\nno difference on this log\n" in result.stdout
    assert result.stdout.count("difference") == 1


def test_the_example_reads_well_at_80_columns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(examples_dir() / "02-bramble", tmp_path / "bramble")
    monkeypatch.chdir(tmp_path / "bramble")
    said = run("bramble.alert", "logs/first-flight.csv", "--map", "logs/recorder.toml").stdout
    assert max(len(line) for line in said.splitlines()) <= 80
    assert "  caution   ENGINE COLD   at 3:22 for 29 s\n" in said
    assert "cht_limit[3]" in said
    assert said.endswith("rules and licensed persons decide.\n")
    # The first screen of a flight in which eight limits were broken.
    assert len(said.splitlines()) <= 40
    assert "OPC" not in said
    told = run("bramble.alert", "logs/first-flight.csv", "--map", "logs/recorder.toml", "--all", "--metrics").stdout
    assert max(len(line) for line in told.splitlines()) <= 80
    assert 'caution "ENGINE COLD"  cold_engine\n    2: from 3:22 to 3:51, 29 s' in told
    assert "Not exercised by this log" in told
    assert "alerts_per_hour: 38.4" in told


@pytest.mark.thorough
def test_two_processes_say_the_same_bytes(folder: Path) -> None:
    """Whatever the order of sets and of hashes."""
    said = set()
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-m", "alertlang", "replay", "small.alert", "log.csv", "--output", "json"],
            capture_output=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        )
        assert done.stderr == b""
        said.add(done.stdout)
    assert len(said) == 1
