"""`alertlang why`: how it is asked, and what it ends with."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

RULES = """rules "r" version 1
quantity x from 0 to 9
x at most 5 is green
hot: x above 5 is red with warning "HOT" after 1 s
"""


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "r.alert").write_text(RULES, encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,x\n0,1\n1,7\n2,7\n3,8\n4,1\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["why", *words])


def test_a_moment_of_a_log() -> None:
    result = run("r.alert", "log.csv", "--at", "3s")
    assert result.exit_code == 0
    assert 'Shown\n  warning "HOT" since 0:02\n  x red since 0:01\n' in result.stdout
    assert (
        "  with another value at 0:02 alone it would have come up\n"
        "    not at all up to 0:04 with x at most 5 (2 less)\n" in result.stdout
    )
    assert "alertlang advises and does not certify" in result.stdout


def test_why_not() -> None:
    result = run("r.alert", "log.csv", "HOT", "--at", "1s")
    assert result.exit_code == 0
    assert (
        'no warning "HOT"\n  hot (r.alert line 4) applies, and its alert comes after 1 s, 0 s so far\n'
        "  no change of one input alone brings it up now\n"
    ) in result.stdout


def test_a_state_by_hand() -> None:
    result = run("r.alert", "x=3", "--after", "2s")
    assert result.exit_code == 0
    assert "Nearest changes, one input at a time\n  x above 5 (2 more): x red\n" in result.stdout
    assert 'if all stays as it is, at 1 s: warning "HOT"' in run("r.alert", "x=6").stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "say what is read"),
        (("HOT",), "say what is read"),
        (("log.csv", "--at", "1s", "--mark", "1"), "say one of --at, --alert and --mark"),
        (("x=3", "--at", "1s"), "name one log"),
        (("--at", "1s"), "name one log"),
        (("log.csv", "HOT", "x", "--at", "1s"), "name one log"),
        (("log.csv", "--at", "1s", "--after", "2s"), "a recording says itself"),
        (("x=3", "HOT", "x"), "has no log"),
        (("x=3", "--segment", "1"), "has no log"),
        (("x=3", "--after", "soon"), "'soon' is no time"),
        (("x=3", "--after", "-2s"), "must not be below 0"),
        (("x=30",), "the sensor of x reads from 0 to 9"),
        (("y=3",), "have no quantity or switch y"),
        (("x=3", "COLD"), "have no gauge and no alert COLD"),
        (("log.csv", "--at", "9s"), "nothing was recorded at 9 s"),
        (("nowhere.csv", "--at", "1s"), "nowhere.csv: cannot be read"),
        (("log.csv", "--at", "1s", "--map", "nowhere.toml"), "nowhere.toml: cannot be read"),
    ],
)
def test_what_cannot_be_asked_ends_with_code_2(words: tuple[str, ...], says: str) -> None:
    result = run("r.alert", *words)
    assert result.exit_code == 2
    assert says in " ".join(result.stderr.replace("│", " ").split())
    assert "Traceback" not in result.output


def test_the_panel_of_the_example_reads_well_at_80_columns() -> None:
    folder = Path(__file__).parents[2] / "examples" / "02-bramble"
    words = (str(folder / "bramble-panel.alert"), str(folder / "logs/first-flight.csv"), "--mark", "2")
    result = run(*words, "--map", str(folder / "logs/recorder.toml"), "--all")
    assert result.exit_code == 0
    assert "Lamps\n  WARNING" in result.stdout
    assert max(len(line) for line in result.stdout.splitlines() if str(folder) not in line) <= 80


def test_a_log_that_is_not_to_be_trusted_says_so_first(folder: Path) -> None:
    (folder / "gaps.csv").write_text("time,x\n0,1\n1,\n2,7\n3,8\n4,1\n", encoding="utf-8")
    result = run("r.alert", "gaps.csv", "--at", "3s")
    assert result.exit_code == 3
    assert result.stdout.index("Look at this first\n  often-failed (x)") < result.stdout.index("Shown")
    accepted = run("r.alert", "gaps.csv", "--at", "3s", "--accept-log", "often-failed:x")
    assert accepted.exit_code == 0
    assert run("r.alert", "gaps.csv", "--at", "3s", "--accept-log", "nonsense").exit_code == 2


def test_a_log_with_a_clock_is_told_by_it(folder: Path) -> None:
    rows = [f"2026-05-03 14:32:0{second},{value}" for second, value in enumerate("17781")]
    (folder / "day.csv").write_text("time,x\n" + "\n".join(rows) + "\n", encoding="utf-8")
    result = run("r.alert", "day.csv", "--at", "14:32:03")
    assert result.exit_code == 0
    assert "day.csv, row 4 after the heading, at 14:32:03 (0:03)" in result.stdout
    assert 'warning "HOT" since 14:32:02 (0:02)' in result.stdout
