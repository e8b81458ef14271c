"""Who may sign, whose key a key is, and what a date is worth."""

from __future__ import annotations

from pathlib import Path

import pytest

from alertlang.cli import library as command
from alertlang.library.errors import LibraryError
from alertlang.library.keys import new_key, retire, trust
from tests.library.conftest import Run, tree

APPROVE = ["approve", "tiny", "--version", "1", "--key", "key.pem", "--reviewer", "chief inspector", "--date"]


def _refused(run: Run, *words: str, says: str) -> None:
    before = tree(Path("library"))
    result = run(*words)
    assert (result.exit_code, says in " ".join(result.stderr.split())) == (2, True), result.output
    assert tree(Path("library")) == before


@pytest.mark.parametrize("date", ["2023-12-31", "2024-01-02", "2024-02-28", "2024-03-01", "2024-03-02"])
def test_a_retired_key_signs_nothing_whatever_the_date(approved: Run, date: str) -> None:
    retired = ["key", "retire", "chief inspector", "--reason", "laptop lost", "--date", "2024-03-01"]
    assert approved(*retired).exit_code == 0
    _refused(approved, *APPROVE, date, says="was retired on 2024-03-01: laptop lost: it signs nothing more")


def test_no_approval_is_dated_in_the_future(approved: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    real = command.day
    monkeypatch.setattr("alertlang.cli.library.day", lambda given: real(given or "2024-05-05"))
    _refused(approved, *APPROVE, "2024-05-06", says="2024-05-06 is still to come: today is 2024-05-05")
    assert approved(*APPROVE, "2024-05-05").exit_code == 0


def test_the_clock_stands_behind_the_command(approved: Run) -> None:
    """Without anything in its place it is the real one."""
    _refused(approved, *APPROVE, "9999-01-01", says="9999-01-01 is still to come")
    words = ["key", "retire", "chief inspector", "--reason", "left", "--date", "9999-01-01"]
    _refused(approved, *words, says="9999-01-01 is still to come")


def test_verify_remarks_on_a_date_after_the_day(approved: Run) -> None:
    for today, remarked in (("2024-01-01", True), ("2024-01-02", False)):
        result = approved("verify", "--today", today)
        said = " ".join(result.output.split())
        assert result.exit_code == 0, result.output
        assert (f"holds, dated after the day of this verification ({today})" in said) is remarked
    assert "dated after" not in approved("verify").output


def test_what_a_retired_key_signed_before_holds_with_a_remark(approved: Run) -> None:
    words = ["key", "retire", "chief inspector", "--reason", "left", "--date", "2024-03-01"]
    assert approved(*words).exit_code == 0
    result = approved("verify")
    said = " ".join(result.output.split())
    assert "(2024-01-02) holds, given with a key that was retired later, on 2024-03-01: left" in said
    assert (result.exit_code, "1 approved" in said) == (0, True)


def test_an_unknown_key_is_not_to_be_trusted_by_whoever_met_it(approved: Run) -> None:
    assert approved("key", "new", "second.pem").exit_code == 0
    result = approved(
        "approve",
        "tiny",
        "--version",
        "1",
        "--key",
        "second.pem",
        "--reviewer",
        "chief inspector",
        "--date",
        "2024-01-02",
    )
    said = " ".join(result.stderr.split())
    assert (result.exit_code, "knows for certain whose key it is" in said) == (2, True)
    assert "--reviewer" not in said, "no command to copy that gives a key a name nobody has looked into"


@pytest.mark.parametrize(
    ("name", "another", "says"),
    [
        ("chief inspector", False, "chief inspector has a key in use already"),
        (" chief inspector ", False, "chief inspector has a key in use already"),
        ("Chief Inspector", False, 'as that of "chief inspector", which is nearly the same name'),
        ("chief  inspector", True, 'as that of "chief inspector", which is nearly the same name'),
        ("\uff43hief inspector", True, 'as that of "chief inspector", which is nearly the same name'),
        ("chief inspector", True, ""),
        ("deputy inspector", False, ""),
    ],
)
def test_a_second_key_for_a_name(tmp_path: Path, name: str, another: bool, says: str) -> None:
    for key in ("first", "second"):
        new_key(tmp_path / key)
    root = tmp_path / "library"
    root.mkdir()
    trust(root, tmp_path / "first.pub", "chief inspector")
    if not says:
        trust(root, tmp_path / "second.pub", name, another=another)
        return
    before = tree(root)
    with pytest.raises(LibraryError) as problem:
        trust(root, tmp_path / "second.pub", name, another=another)
    assert says in problem.value.message
    assert tree(root) == before
    retire(root, "chief inspector", "2024-01-01", "left")
    trust(root, tmp_path / "second.pub", name)


def test_the_command_asks_for_another(approved: Run) -> None:
    assert approved("key", "new", "second.pem").exit_code == 0
    words = ["key", "trust", "second.pem.pub", "--reviewer", "chief inspector"]
    _refused(approved, *words, says="then give --another, or retire the old one first")
    assert approved(*words, "--another").exit_code == 0
