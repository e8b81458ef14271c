"""`alertlang scenarios` and the saving of witnesses: what is said, how it ends, what is written.

Source: the documented command line and its exit codes (0 as said, 1 a difference, 2 could not be read).
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.api import load, run_scenario, witness_scenarios
from alertlang.cli.app import app
from alertlang.text.resources import examples_dir
from tests.helpers.osier_scenarios import OSIER

GOOD = """\
scenario "warm-up" version 2
use rules "osier"

at 0 s: rpm 800 rpm, oil_temp 60 F -> rpm green, cold
at 10 s: rpm 2100 -> rpm red, caution "ENGINE COLD" by 12 s
"""
DIFFERENT = GOOD.replace("rpm green, cold", "rpm green, not cold")
BROKEN = GOOD.replace("10 s: rpm", "10: rpm")
CAUTION = (
    "alertlang advises and does not certify; nothing here is an authority's approval:\n"
    "the aircraft's approved manuals, local rules and licensed persons decide.\n"
)


def run(*words: str | Path, stdin: str | bytes | None = None) -> Result:
    return CliRunner().invoke(app, ["scenarios", *map(str, words)], input=stdin)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, text in (("good", GOOD), ("different", DIFFERENT), ("broken", BROKEN)):
        (tmp_path / f"{name}.scenario").write_text(text, encoding="utf-8")
    (tmp_path / "osier.alert").write_text(OSIER, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


# ---- text


def test_as_said(folder: Path) -> None:
    result = run("good.scenario")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == (
        'as said   "warm-up" (good.scenario): 4 expectations, 25 samples over 12 s, rules\n'
        '          "osier" version 3\n' + CAUTION
    )


def test_a_difference(folder: Path) -> None:
    result = run("different.scenario")
    assert (result.exit_code, result.stderr) == (1, "")
    assert result.stdout == (
        """\
differs   "warm-up" (different.scenario): 4 expectations, rules "osier" version
          3
different.scenario:4:50: at 0 s
  cold must not hold, and does
     4 | at 0 s: rpm 800 rpm, oil_temp 60 F -> rpm green, not cold
       |                                                  ^^^^^^^^
  read:        oil_temp 60 F
  why:         cold (osier.alert line 14) holds (oil_temp 60 F is below 75 F)
"""
        + CAUTION
    )


def test_since_when_it_had_to_be_so(folder: Path) -> None:
    text = GOOD.replace("by 12 s", "by 12 s\nat 15 s: rpm 2200 to 1000 by 20 s -> rpm red by 16 s\nat 30 s")
    (folder / "late.scenario").write_text(text, encoding="utf-8")
    said = run("late.scenario").stdout
    # At most 1200 rpm from 19 1/6 s on.
    assert "late.scenario:6:38: at 19.5 s\n" in said
    assert "  rpm must show red, and shows green (it had to be so from 16 s on)\n" in said
    assert "  read:        rpm 1120 rpm, oil_temp 60 F\n" in said


def test_several_and_one_line_over_all(folder: Path) -> None:
    result = run("good.scenario", "different.scenario", "broken.scenario", "good.scenario")
    assert result.exit_code == 2
    assert "\n4 scenarios: 2 as said, 1 with a difference, 1 not run\n" in result.stdout
    assert result.stdout.count("alertlang advises") == 1
    both = run("good.scenario", "good.scenario")
    assert both.exit_code == 0
    assert "\n2 scenarios: 2 as said\n" in both.stdout
    assert run("different.scenario", "good.scenario").exit_code == 1


def test_what_cannot_be_read_says_where(folder: Path) -> None:
    result = run("broken.scenario")
    assert result.exit_code == 2
    assert "broken.scenario:5:6: error AL102 syntax\n  a time needs its unit\n" in result.stdout
    assert "broken.scenario: not run: it could not be read\n" in result.stdout
    missing = run("none.scenario")
    assert missing.exit_code == 2
    assert "there is no such file" in missing.stdout


def test_standard_input(folder: Path) -> None:
    result = run("-", stdin=GOOD)
    assert result.exit_code == 0
    assert '"warm-up" (<standard input>)' in result.stdout


def test_odd_bytes_leave_no_traceback(folder: Path) -> None:
    for data in (b"\xff\xfe\x00", b"\x00", b"at 0 s: rpm " + b"9" * 5000, GOOD.encode() + b"\xff"):
        (folder / "odd.scenario").write_bytes(data)
        result = run("odd.scenario")
        assert result.exit_code == 2
        assert result.exception is None or isinstance(result.exception, SystemExit)


# ---- rules


def test_other_rules_may_be_given(folder: Path) -> None:
    warmer = OSIER.replace("condition cold means oil_temp below 75 F", "condition cold means oil_temp below 50 F")
    (folder / "next.alert").write_text(warmer.replace('rules "osier"', 'rules "next"'), encoding="utf-8")
    result = run("good.scenario", "--rules", "next.alert")
    assert result.exit_code == 1
    assert 'rules "next" version 3' in result.stdout
    assert "cold must hold, and does not" in result.stdout


def test_rules_that_cannot_be_read(folder: Path) -> None:
    (folder / "bad.alert").write_text('rules "bad" version 1\nrpm above 5 is red\n', encoding="utf-8")
    result = run("good.scenario", "--rules", "bad.alert")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "there is no quantity rpm" in result.stderr
    assert "bad.alert could not be read, and nothing was run" in result.stderr


def test_rules_in_another_folder(folder: Path) -> None:
    inner = folder / "inner" / "most"
    inner.mkdir(parents=True)
    (folder / "good.scenario").rename(inner / "good.scenario")
    assert run(inner / "good.scenario").exit_code == 2
    assert run(inner / "good.scenario", "--path", folder).exit_code == 0


# ---- for programs


def test_json_is_one_object_a_line_with_exact_strings(folder: Path) -> None:
    text = GOOD.replace("oil_temp 60 F", "oil_temp 20 C").replace("rpm green, cold", "rpm green, not cold by 1/3 s")
    (folder / "exact.scenario").write_text(text, encoding="utf-8")
    result = run("--output", "json", "good.scenario", "exact.scenario", "broken.scenario")
    assert result.exit_code == 2
    good, exact, broken = map(json.loads, result.stdout.splitlines())
    assert good["scenario"] == {"name": "warm-up", "version": 2, "path": "good.scenario"}
    assert good["rules"] == {"name": "osier", "version": 3, "path": "osier.alert"}
    assert (good["as_said"], good["difference"], good["samples"], good["seconds"]) == (True, None, 25, "12")
    found = exact["difference"]
    assert (found["time"], found["since"], found["expected"]) == ("1/3", "1/3", "not cold by 1/3 s")
    assert found["read"] == {"oil_temp": {"value": "68", "unit": "F"}}
    assert found["where"]["line"] == 4
    assert found["reasons"][0]["statement"] == "cold"
    assert (broken["readable"], broken["as_said"], broken["difference"]) == (False, False, None)
    assert [one["code"] for one in broken["findings"]] == ["AL102"]


def test_the_same_bytes_each_time(folder: Path) -> None:
    assert run("--output", "json", "different.scenario").stdout == run("--output", "json", "different.scenario").stdout


def test_from_python(folder: Path) -> None:
    report = run_scenario("different.scenario")
    assert report.difference is not None
    assert report.difference.message == "cold must not hold, and does"
    assert run_scenario("good.scenario", rules=load("osier.alert")).as_said
    assert not run_scenario("broken.scenario").readable


# ---- witnesses saved


def check(*words: str | Path, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, ["check", *map(str, words)], input=stdin)


@pytest.fixture
def flawed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    text = """\
rules "flawed" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
rpm below 2500 is green
rpm above 2550 is red with warning "OVERSPEED"
prove rpm above 2520 rpm is red
"""
    path = tmp_path / "flawed.alert"
    path.write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return path


def test_witnesses_are_saved_and_run_as_said(flawed: Path) -> None:
    folder = Path("found")
    result = check("flawed.alert", "--save-witnesses", folder)
    assert result.exit_code == 1, "the findings count as ever"
    assert sorted(path.name for path in folder.iterdir()) == ["claim-prove_1.scenario", "gap-rpm.scenario"]
    assert result.stderr == "alertlang: 2 witnesses of flawed.alert saved in found\n"
    # The rules are in the folder above.
    ran = run(*sorted(folder.iterdir()))
    assert ran.exit_code == 0, ran.stdout
    flawed.write_text(flawed.read_text(encoding="utf-8").replace("below 2500", "at most 2550"), encoding="utf-8")
    mended = run(folder / "gap-rpm.scenario")
    assert mended.exit_code == 1
    assert "rpm must show no colour, and shows green" in mended.stdout


def test_standard_output_is_left_to_the_format(flawed: Path) -> None:
    result = check("flawed.alert", "--output", "json", "--save-witnesses", "found")
    assert [json.loads(line)["rules"]["name"] for line in result.stdout.splitlines()] == ["flawed"]


def test_a_file_that_is_there_is_left_as_it_is(flawed: Path) -> None:
    folder = Path("found")
    folder.mkdir()
    (folder / "gap-rpm.scenario").write_text("mine", encoding="utf-8")
    result = check("flawed.alert", "--save-witnesses", folder)
    assert (folder / "gap-rpm.scenario").read_text(encoding="utf-8") == "mine"
    assert result.stderr == (
        "alertlang: 1 witness of flawed.alert saved in found\n"
        "alertlang: there already, and left as they are: gap-rpm.scenario\n"
    )


def test_witnesses_of_several_files_do_not_get_in_each_others_way(flawed: Path) -> None:
    other = flawed.with_name("other.alert")
    other.write_text(flawed.read_text(encoding="utf-8").replace('"flawed"', '"other"'), encoding="utf-8")
    assert check("flawed.alert", "other.alert", "--save-witnesses", "found").exit_code == 1
    names = [f"{rules}-{one}.scenario" for rules in ("flawed", "other") for one in ("claim-prove_1", "gap-rpm")]
    assert sorted(path.name for path in Path("found").iterdir()) == names
    assert run(*(Path("found") / name for name in names)).exit_code == 0


def test_what_is_to_be_completed_is_said(flawed: Path) -> None:
    flawed.write_text(
        """\
rules "flawed" version 1
quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
condition first means oil_temp below 0 F until oil_temp above 280 F
condition second means rpm below 100 rpm and first until rpm above 3400 rpm
condition third means second and not first until rpm above 3450 rpm
when not third then rpm at least 0 is green
when third and rpm above 3000 rpm then rpm at least 0 is green
""",
        encoding="utf-8",
    )
    result = check("flawed.alert", "--save-witnesses", "found")
    found = ("gap-rpm.scenario", "blank-on-failure-rpm.scenario")
    assert f"to be completed by hand, as their comments say: {', '.join(found)}\n" in result.stderr
    for one in found:
        assert run(Path("found") / one).exit_code == 0


def test_a_folder_that_cannot_be_written(flawed: Path) -> None:
    Path("found").write_text("a file", encoding="utf-8")
    result = check("flawed.alert", "--save-witnesses", "found")
    assert result.exit_code == 2
    assert "no witness could be saved in found" in result.stderr


def test_nothing_to_save_makes_no_folder(flawed: Path) -> None:
    good = examples_dir() / "01-first-rules" / "first.alert"
    result = check(good, "--save-witnesses", "found")
    assert result.exit_code == 0
    assert not Path("found").exists()
    assert "0 witnesses of" in result.stderr


def test_nothing_is_saved_of_what_cannot_be_read(flawed: Path) -> None:
    flawed.write_text("rpm is red", encoding="utf-8")
    result = check("flawed.alert", "--save-witnesses", "found")
    assert (result.exit_code, result.stderr) == (2, "")
    assert not Path("found").exists()


def test_rules_under_another_name_are_not_named(flawed: Path) -> None:
    flawed.rename(flawed.with_name("other.alert"))
    check("other.alert", "--save-witnesses", "found")
    text = (Path("found") / "gap-rpm.scenario").read_text(encoding="utf-8")
    assert "use rules" not in text
    assert run(Path("found") / "gap-rpm.scenario", "--rules", "other.alert").exit_code == 0


def test_standard_input_cannot_be_named(flawed: Path) -> None:
    result = check("-", "--save-witnesses", "found", stdin=flawed.read_text(encoding="utf-8"))
    assert result.exit_code == 2
    assert "standard input has no name" in result.stderr


def test_witnesses_from_python(flawed: Path) -> None:
    rules = load(flawed)
    assert sorted(one.name for one in witness_scenarios(rules, rules.check())) == ["claim-prove_1", "gap-rpm"]


@pytest.mark.parametrize(("rules", "folder", "named"), [("shop", ".", False), ("r", ".", True), ("r", "kept", False)])
def test_a_scenario_of_a_log_runs_as_it_is_told(
    rules: str, folder: str, named: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It names its rules where they are found beside it, and nowhere else."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "kept").mkdir()
    text = 'rules "r" version 1\nquantity x from 0 to 9\nx above 5 is red with warning "HOT"\nx at most 5 is green\n'
    (tmp_path / f"{rules}.alert").write_text(text, encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,x\n0,1\n1,7\n2,1\n", encoding="utf-8")
    out = f"{folder}/hot.scenario" if folder != "." else "hot.scenario"
    words = ["scenarios", "from-log", f"{rules}.alert", "log.csv", "--alert", "HOT", "-o", out]
    made = CliRunner().invoke(app, words)
    assert made.exit_code == 0
    command = made.stderr.partition("run it with: alertlang ")[2].split() or ["scenarios", out]
    assert command == ["scenarios", out, *([] if named else ["--rules", f"{rules}.alert"])]
    assert ('use rules "r"' in (tmp_path / out).read_text(encoding="utf-8")) is named
    assert CliRunner().invoke(app, command).exit_code == 0
    if not named:
        alone = CliRunner().invoke(app, ["scenarios", out])
        assert alone.exit_code == 2
        assert "give their file on the command line with --rules FILE" in alone.stdout
        assert 'It is about the rules "r"' in (tmp_path / out).read_text(encoding="utf-8")
