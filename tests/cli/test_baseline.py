"""`--baseline` and `--write-baseline`: what is known does not count, everything else does."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
GAP = HEAD + "rpm below 2000 is green\nrpm above 2100 is red\n"
UNUSED = "condition fast means rpm above 2000\n"


@pytest.fixture(autouse=True)
def in_tmp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, ["check", *words, "--no-config"], input=stdin)


def said(result: Result) -> str:
    return " ".join(result.stdout.split())


def write(text: str, name: str = "case.alert") -> str:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")
    return name


def recorded(text: str, name: str = "case.alert") -> str:
    """The name of a baseline of a text that was written to a file."""
    result = run(write(text, name), "--write-baseline", "known.json")
    assert result.stderr == ""
    return "known.json"


def test_known_findings_do_not_count() -> None:
    assert run(write(GAP + UNUSED)).exit_code == 1
    baseline = recorded(GAP + UNUSED)
    result = run("case.alert", "--baseline", baseline, "--fail-on", "note")
    assert result.exit_code == 0
    assert "AL201" not in result.stdout
    assert 'rules "case" version 1: 0 errors, 0 warnings, 0 notes;' in said(result)
    assert "2 known findings do not count: see known.json" in said(result)


def test_new_findings_count() -> None:
    baseline = recorded(GAP)
    result = run(write(GAP + UNUSED + "quantity oil from 0 to 9\noil below 3 is green\n"), "--baseline", baseline)
    assert result.exit_code == 1
    assert "oil shows no colour" in said(result)
    assert "AL403 unused" in result.stdout
    assert "rpm shows no colour" not in said(result)
    assert "1 known finding does not count" in said(result)


def test_writing_ends_like_checking_with_it() -> None:
    result = run(write(GAP), "--write-baseline", "known.json")
    assert result.exit_code == 0
    assert said(result) == said(run("case.alert", "--baseline", "known.json"))


@pytest.mark.parametrize("change", ["\n\n# above\n", "# one more\n"])
def test_edits_elsewhere_do_not_matter(change: str) -> None:
    baseline = recorded(GAP)
    assert run(write(change + GAP.replace("is red", "is\n\n  red")), "--baseline", baseline).exit_code == 0


@pytest.mark.parametrize(
    ("low", "high", "code"),
    [("2000", "2100", 0), ("2010", "2090", 0), ("1990", "2100", 1), ("2000", "2110", 1), ("1900", "2200", 1)],
)
def test_a_finding_that_reaches_further_counts(low: str, high: str, code: int) -> None:
    baseline = recorded(GAP)
    result = run(write(GAP.replace("2000", low).replace("2100", high)), "--baseline", baseline)
    assert result.exit_code == code
    assert ("1 finding that is in known.json is worse than recorded there, and counts" in said(result)) is (code == 1)
    assert "no longer found" not in said(result)


def test_another_end_is_further_too() -> None:
    """From `below 2000` to `at most 2000` the gap loses a point; the other way it gains one."""
    baseline = recorded(GAP)
    less = GAP.replace("below 2000", "at most 2000")
    assert run(write(less), "--baseline", baseline).exit_code == 0
    baseline = recorded(less)
    assert run(write(GAP), "--baseline", baseline).exit_code == 1


def test_one_of_two_alike_does_not_stand_for_the_other() -> None:
    two = HEAD + "when rpm below 500 then rpm above 2000 is red\nrpm from 1000 to 1500 is green\n"
    gaps = [f for f in json.loads(run(write(two), "--output", "json").stdout)["findings"] if f["code"] == "AL201"]
    assert len(gaps) == 2
    baseline = recorded(two)
    mended = two + "rpm below 1000 is yellow\n"
    result = run(write(mended), "--baseline", baseline)
    assert "AL201" not in "".join(line for line in result.stdout.split("\n") if "no longer found" not in line)
    assert "no longer found" in said(result)


def test_what_is_gone_is_told_and_does_not_count() -> None:
    baseline = recorded(GAP + UNUSED)
    result = run(write(HEAD + "rpm from 0 to 3500 is green\n"), "--baseline", baseline, "--fail-on", "note")
    assert result.exit_code == 0
    assert "no longer found, and still in known.json: AL201 gap in case.alert: rpm shows no colour" in said(result)
    assert "still in known.json: AL403 unused in case.alert" in said(result)


def test_other_files_are_not_looked_at() -> None:
    write(GAP, "sub/case.alert")
    run(write(GAP), "sub/case.alert", "--write-baseline", "known.json")
    result = run("case.alert", "--baseline", "known.json")
    assert "no longer found" not in said(result)
    write(GAP, "more/case.alert")
    assert run("more/case.alert", "--baseline", "known.json").exit_code == 1, "a file of the same name is another file"


def test_files_are_seen_from_the_folder_of_the_baseline(in_tmp: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(GAP, "a/b/case.alert")
    run("a/b/case.alert", "--write-baseline", "known.json")
    assert json.loads(Path("known.json").read_text("utf-8"))["findings"][0]["file"] == "a/b/case.alert"
    monkeypatch.chdir(in_tmp / "a")
    assert run("b/case.alert", "--baseline", "../known.json").exit_code == 0
    assert run(str(in_tmp / "a/b/case.alert"), "--baseline", str(in_tmp / "known.json")).exit_code == 0


# ---- what is never known


def test_undecided_findings_always_count() -> None:
    limit = ("--work-limit", "1")
    result = run(write(GAP), *limit, "--write-baseline", "known.json")
    undecided = result.stdout.count(" error AL")
    assert undecided > 0
    assert result.exit_code == 1
    assert f"{undecided} undecided findings are not recorded" in said(result)
    assert json.loads(Path("known.json").read_text("utf-8"))["findings"] == []
    # Nor does the decided finding of the same kind silence it.
    baseline = recorded(GAP)
    again = run("case.alert", "--baseline", baseline, *limit)
    assert again.exit_code == 1
    assert again.stdout.count(" error AL") == undecided
    assert "no longer found" not in said(again)


def test_with_impossible_assumptions_nothing_is_said_to_be_gone() -> None:
    baseline = recorded(GAP)
    result = run(write(GAP + "assume rpm above 3000\nassume rpm below 100\n"), "--baseline", baseline)
    assert "AL404 impossible-assumptions" in result.stdout
    assert "no longer found" not in said(result)


def test_claims_always_count() -> None:
    text = HEAD + "rpm from 0 to 3500 is green\nprove rpm above 3000 is red\n"
    result = run(write(text), "--write-baseline", "known.json")
    assert result.exit_code == 1
    assert "1 claim is not proved, which is never recorded" in said(result)
    assert run("case.alert", "--baseline", "known.json").exit_code == 1


def test_reading_errors_are_not_recorded() -> None:
    recorded(GAP)
    before = Path("known.json").read_bytes()
    result = run(write(HEAD + "rpm is high\n"), "--write-baseline", "known.json")
    assert result.exit_code == 2
    assert "it was not written, for a file could not be read" in result.stderr
    assert Path("known.json").read_bytes() == before
    assert run("case.alert", "--baseline", "known.json").exit_code == 2


def test_what_is_accepted_is_not_recorded_and_not_gone() -> None:
    accepted = GAP + 'accept gap on rpm because "seen"\n'
    recorded(accepted)
    assert json.loads(Path("known.json").read_text("utf-8"))["findings"] == []
    baseline = recorded(GAP)
    result = run(write(accepted), "--baseline", baseline)
    assert result.exit_code == 0
    assert "known" not in said(result)


# ---- the file


def test_same_input_same_bytes_and_sorted() -> None:
    write(GAP, "b.alert")
    write(GAP + UNUSED, "a.alert")
    run("b.alert", "a.alert", "--write-baseline", "one.json")
    run("a.alert", "b.alert", "./a.alert", "--write-baseline", "two.json")
    assert Path("one.json").read_bytes() == Path("two.json").read_bytes()
    found = json.loads(Path("one.json").read_text("utf-8"))["findings"]
    assert [one["file"] for one in found] == ["a.alert", "a.alert", "b.alert"]
    assert "line" not in found[0]
    assert sorted(one.name for one in Path().iterdir()) == ["a.alert", "b.alert", "one.json", "two.json"]


def test_the_name_of_a_file_need_not_be_text() -> None:
    name = os.fsdecode(b"\xff\xc3\xbc.alert")
    assert run(write(GAP, name), "--write-baseline", "known.json", "--output", "sarif").exit_code == 0
    assert run(name, "--baseline", "known.json", "--output", "sarif").exit_code == 0
    assert run(write(GAP), "--baseline", "known.json").exit_code == 1


def test_writing_does_not_read() -> None:
    write("{", "known.json")
    words = [write(GAP), "--baseline", "known.json", "--write-baseline", "known.json"]
    assert run(*words).exit_code == 2, "it is none that was made here"
    assert run(*words, "--force").exit_code == 0
    assert run("case.alert", "--baseline", "known.json").exit_code == 0


def good() -> dict[str, Any]:
    recorded(GAP + UNUSED)
    data: dict[str, Any] = json.loads(Path("known.json").read_text("utf-8"))
    return data


def broken() -> dict[str, str | bytes]:
    data = good()
    first = next(one for one in data["findings"] if one["region"])

    def entry(**changes: object) -> str:
        return json.dumps({**data, "findings": [{**first, **changes}]})

    reach = first["region"]["rpm"]
    return {
        "empty": "",
        "half": json.dumps(data)[:100],
        "deep": "[" * 100_000,
        "bytes": b"\xff\xfe",
        "list": "[]",
        "other": '{"findings": []}',
        "version": json.dumps({**data, "baseline": 2}),
        "truth": json.dumps({**data, "baseline": True}),
        "more": json.dumps({**data, "more": 1}),
        "no list": json.dumps({**data, "findings": {}}),
        "no entry": json.dumps({**data, "findings": [1]}),
        "twice": json.dumps({**data, "findings": [first, first]}),
        "key": entry(more=1),
        "severity": entry(severity="bad"),
        "print": entry(fingerprint="x:1"),
        "number": entry(fingerprint=first["fingerprint"].replace(":1", ":0")),
        "region": entry(region={"rpm": {**reach, "from": "x"}}),
        "upside down": entry(region={"rpm": {**reach, "from": "9000"}}),
        "zero": entry(region={"rpm": {**reach, "from": "1/0"}}),
        "float": entry(region={"rpm": {**reach, "from": 1.5}}),
        "unit": entry(region={"rpm": {**reach, "unit": "furlong"}}),
        "part": entry(region={"rpm": 5}),
        "reaction": entry(reaction={"worst": "1"}),
    }


def test_a_damaged_baseline_is_an_error_with_a_way_out() -> None:
    for name, text in broken().items():
        Path("bad.json").write_bytes(text if isinstance(text, bytes) else text.encode())
        result = run("case.alert", "--baseline", "bad.json")
        assert (name, result.exit_code) == (name, 2)
        assert result.stdout == "", name
        assert result.stderr.startswith("alertlang: the baseline bad.json: it"), name
        assert result.stderr.count("\n") == 1
    assert "finding number 1 is damaged" in run("case.alert", "--baseline", "bad.json").stderr


def test_a_missing_baseline_is_an_error() -> None:
    result = run(write(GAP), "--baseline", "absent.json")
    assert result.exit_code == 2
    assert "absent.json: there is no such file; --write-baseline makes one" in result.stderr
    assert run("case.alert", "--baseline", ".").exit_code == 2
    result = run("case.alert", "--write-baseline", "absent/known.json")
    assert result.exit_code == 2
    assert "it could not be written (there is no folder " in result.stderr


def test_json_keeps_its_shape() -> None:
    """The findings are all there; what there is to say of the baseline goes where it does no harm."""
    baseline = recorded(GAP)
    plain = run("case.alert", "--output", "json")
    result = run("case.alert", "--output", "json", "--baseline", baseline)
    assert result.exit_code == 0
    assert result.stdout == plain.stdout
    assert result.stderr == "alertlang: 1 known finding does not count: see known.json\n"


def test_standard_input_has_a_name_of_its_own() -> None:
    run("-", "--write-baseline", "known.json", stdin=GAP)
    assert run("-", "--baseline", "known.json", stdin=GAP).exit_code == 0
    assert run(write(GAP), "--baseline", "known.json").exit_code == 1
