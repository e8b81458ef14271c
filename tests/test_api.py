"""The few names that may be relied on.

Source: the docstrings of `alertlang` and `alertlang.api`.
"""

from __future__ import annotations

import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

import alertlang
from alertlang import Report, Rules, UnreadableError, load, loads
from alertlang.results.report import Verdict
from alertlang.text.resources import examples_dir

GAUGE = 'rules "gauge" version 7\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
CLEAN = GAUGE + "rpm from 0 to 3500 is green\n"
GAP = GAUGE + "rpm below 2000 is green\nrpm above 2000 is yellow\n"
MOTOR = 'profile "motor" version 4\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
USER = 'rules "user" version 1\nuse profile "motor"\nrpm from 0 to 3500 is green\n'


def test_public_names_are_sorted_and_there() -> None:
    assert sorted(alertlang.__all__) == alertlang.__all__
    for name in alertlang.__all__:
        assert getattr(alertlang, name) is not None
    with pytest.raises(AttributeError):
        alertlang.nothing  # noqa: B018


def test_the_version_alone_does_not_load_the_solver() -> None:
    program = "import sys, alertlang; alertlang.__version__; sys.exit('z3' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], cwd=examples_dir().parent, check=False).returncode == 0


def test_load_takes_a_path_or_a_text() -> None:
    path = examples_dir() / "02-bramble" / "bramble.alert"
    for rules in (load(path), load(str(path))):
        assert isinstance(rules, Rules)
        assert (rules.name, rules.version) == ("bramble", 1)
        assert rules.warnings == ()


def test_check_gives_a_report() -> None:
    report = loads(GAP, name="gauge.alert").check()
    assert isinstance(report, Report)
    assert report.readable
    assert (report.file.kind, report.file.name, report.file.version) == ("rules", "gauge", 7)
    assert report.file.path == "gauge.alert"
    [found] = report.findings
    assert (found.code.name, found.path, found.quantity) == ("gap", "gauge.alert", "rpm")
    assert found.where is not None
    assert found.where.line == 3
    assert "gap" not in {proof.check for proof in report.proved}
    assert "gap" in {proof.check for proof in loads(CLEAN).check().proved}


def test_check_and_prove_agree_on_claims() -> None:
    rules = loads(CLEAN + "yes: prove rpm above 2000 is green\nno: prove rpm above 2000 is red\n")
    assert rules.prove() == rules.check().claims
    assert [(c.label, c.verdict) for c in rules.prove()] == [("yes", Verdict.PROVED), ("no", Verdict.REFUTED)]


def test_the_same_rules_give_the_same_report() -> None:
    path = examples_dir() / "02-bramble" / "mistakes" / "missing-alert.alert"
    rules = load(path)
    assert rules.check() == rules.check()
    assert rules.check().findings[0].message == load(path).check().findings[0].message


def test_today_ends_exceptions() -> None:
    rules = loads(GAP + 'accept gap on rpm because "known" until 2027-06-30\n')
    assert [f.accepted for f in rules.check(today="2027-06-30").findings] == ["known"]
    ended = rules.check(today="2027-07-01").findings
    assert {(f.code.name, f.accepted) for f in ended} == {("gap", None), ("stale-acceptance", None)}


def test_too_little_work_leaves_claims_undecided() -> None:
    rules = load(examples_dir() / "02-bramble" / "bramble.alert")
    report = rules.check(work_limit=1)
    undecided = [f for f in report.findings if f.undecided]
    assert undecided
    assert all(f.severity.word == "error" for f in undecided)
    assert Verdict.PROVED not in {claim.verdict for claim in rules.prove(work_limit=1)}
    worst = report.worst()
    assert worst is not None
    assert worst.word == "error"


def test_a_profile_can_be_loaded_by_itself() -> None:
    rules = loads(MOTOR, name="motor.profile")
    assert rules.check().file.kind == "profile"
    assert rules.prove() == ()


# ---- what it uses


def test_folders_to_look_in(tmp_path: Path) -> None:
    (tmp_path / "motor.profile").write_text(MOTOR, encoding="utf-8")
    (tmp_path / "sub").mkdir()
    user = tmp_path / "sub" / "user.alert"
    user.write_text(USER, encoding="utf-8")
    for found in (loads(USER, folder=tmp_path), loads(USER, search=[tmp_path]), load(user, search=[str(tmp_path)])):
        assert [(p.name, p.version) for p in found.check().profiles] == [("motor", 4)]
    for missing in (partial(loads, USER, folder=tmp_path / "sub"), partial(load, user)):
        with pytest.raises(UnreadableError) as raised:
            missing()
        assert [f.code.name for f in raised.value.findings] == ["missing-file"]


# ---- what cannot be read


def test_every_mistake_is_in_the_error() -> None:
    with pytest.raises(UnreadableError) as raised:
        loads(GAUGE + "rpm is high\noil_temp above 5 is red\nrpm above 5 psi is red\n", name="bad.alert")
    error = raised.value
    assert isinstance(error, ValueError)
    assert [(f.code.code, f.where.line) for f in error.findings if f.where] == [
        ("AL102", 3),
        ("AL104", 4),
        ("AL105", 5),
    ]
    lines = str(error).splitlines()
    assert [line.split(" ")[:2] for line in lines] == [
        ["bad.alert:3:5:", "AL102"],
        ["bad.alert:4:1:", "AL104"],
        ["bad.alert:5:11:", "AL105"],
    ]


def test_a_missing_file_is_unreadable(tmp_path: Path) -> None:
    for path in (tmp_path / "absent.alert", tmp_path):
        with pytest.raises(UnreadableError) as raised:
            load(path)
        assert [f.code.name for f in raised.value.findings] == ["unreadable-file"]


def test_warnings_of_reading_are_kept(tmp_path: Path) -> None:
    (tmp_path / "motor.profile").write_text(MOTOR.replace('"motor"', '"engine"'), encoding="utf-8")
    rules = loads(USER, folder=tmp_path)
    assert [f.code.name for f in rules.warnings] == ["name-mismatch"]
    assert rules.warnings[0] in rules.check().findings
