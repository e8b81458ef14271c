"""How the commands end.

Source: the documented exit codes. 0: nothing at or above `--fail-on`; 1: findings; 2: input that could not be read,
parsed or resolved, wrong usage, or a fault of the tool.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang import cli
from alertlang.cli import check
from alertlang.cli.app import app
from alertlang.text.resources import examples_dir

BRAMBLE = examples_dir() / "02-bramble"
VETTED = str(BRAMBLE / "bramble.alert")

HEAD = 'rules "case" version 1\nsource S common practice\nquantity rpm from 0 to 3500 rpm, step 10 rpm\n'
TEXTS = {
    "clean": HEAD + "rpm from 0 to 3500 is green\n",
    # One finding each, of the severity in its name.
    "note": HEAD + "rpm from 0 to 3500 is green\ncondition fast means rpm above 2000\n",
    "warning": HEAD + "rpm at most 2000 is green\nrpm from 2000 to 2005 is yellow\nrpm above 2005 is red\n",
    "error": HEAD + "rpm below 2000 is green\nrpm above 2000 is yellow\n",
    "refuted": HEAD + "rpm from 0 to 3500 is green\nprove rpm above 2000 is red\n",
    "vacuous": HEAD + "rpm from 0 to 3500 is green\nprove when rpm below 0 then rpm above 2000 is green\n",
    "proved": HEAD + "rpm from 0 to 3500 is green\nprove rpm above 2000 is green\n",
    "unparsed": HEAD + "rpm is rather high\n",
    "unresolved": HEAD + "rpm from 0 to 3500 is green\noil_temp above 200 is red\n",
}


@pytest.fixture
def files(tmp_path: Path) -> dict[str, str]:
    """A file of each kind; its name does not matter to anything."""
    for name, text in TEXTS.items():
        (tmp_path / f"{name}.alert").write_text(text, encoding="utf-8")
    return {name: str(tmp_path / f"{name}.alert") for name in TEXTS}


def run(*words: str, stdin: str | None = None) -> Result:
    return CliRunner().invoke(app, list(words), input=stdin)


# ---- check


@pytest.mark.parametrize(
    ("worst", "ends"),
    [
        # never, error, warning, note
        ("clean", (0, 0, 0, 0)),
        ("note", (0, 0, 0, 1)),
        ("warning", (0, 0, 1, 1)),
        ("error", (0, 1, 1, 1)),
        ("refuted", (0, 1, 1, 1)),
        ("proved", (0, 0, 0, 0)),
        ("unparsed", (2, 2, 2, 2)),
        ("unresolved", (2, 2, 2, 2)),
    ],
)
def test_check_ends_by_severity(files: dict[str, str], worst: str, ends: tuple[int, ...]) -> None:
    found = [run("check", "--fail-on", fail_on, files[worst]) for fail_on in ("never", "error", "warning", "note")]
    assert tuple(result.exit_code for result in found) == ends
    assert run("check", files[worst]).exit_code == ends[1], "error is the default"
    assert f" {worst} AL" in found[0].stdout or worst not in {"note", "warning", "error"}


@pytest.mark.parametrize("fail_on", ["fatal", "ERROR", ""])
def test_unknown_severity_is_wrong_usage(files: dict[str, str], fail_on: str) -> None:
    assert run("check", "--fail-on", fail_on, files["clean"]).exit_code == 2


def test_the_worst_of_several_files_counts(files: dict[str, str]) -> None:
    assert run("check", files["clean"], files["error"], files["note"]).exit_code == 1
    assert run("check", files["error"], files["unparsed"]).exit_code == 2


@pytest.mark.parametrize("bad", ["unparsed", "unresolved", "absent"])
def test_an_unreadable_file_does_not_hide_the_others(files: dict[str, str], tmp_path: Path, bad: str) -> None:
    path = files.get(bad, str(tmp_path / "absent.alert"))
    result = run("check", files["error"], path, files["clean"])
    assert result.exit_code == 2
    assert "AL201 gap" in result.stdout
    assert f"{path}: not checked: 1 error in reading it" in " ".join(result.stdout.split())
    assert result.stdout.count('rules "case" version 1: ') == 2


def test_missing_file_is_named(tmp_path: Path) -> None:
    path = str(tmp_path / "absent.alert")
    result = run("check", path)
    assert result.exit_code == 2
    assert f"{path}: error AL101 unreadable-file" in result.stdout


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    result = run("check", str(tmp_path))
    assert result.exit_code == 2
    assert "AL101" in result.stdout


# ---- prove


@pytest.mark.parametrize(
    ("kind", "end"),
    [("proved", 0), ("refuted", 1), ("vacuous", 1), ("unparsed", 2), ("clean", 0), ("error", 0)],
)
def test_prove_ends_by_verdict(files: dict[str, str], kind: str, end: int) -> None:
    """It looks at claims alone: a file with other errors in it ends well."""
    result = run("prove", files[kind])
    assert result.exit_code == end
    assert ("it makes no claims" in result.stdout) is (kind in {"clean", "error"})


def test_undecided_is_not_proved(files: dict[str, str]) -> None:
    result = run("prove", VETTED, "--work-limit", "1")
    assert result.exit_code == 1
    assert "undecided" in result.stdout
    assert "proved    " not in result.stdout


# ---- profiles, explain, tour


def test_profiles_end(tmp_path: Path) -> None:
    assert run("profiles", "list").exit_code == 0
    assert run("profiles", "show", "austro-ae300").exit_code == 0
    assert run("profiles", "check", "austro-ae300").exit_code == 0
    short = tmp_path / "short.profile"
    short.write_text(
        'profile "short" version 1\nsource S common practice\nquantity rpm from 0 to 2000 rpm, source S\n'
        "limit rpm at most 2700 rpm, source S\n",
        encoding="utf-8",
    )
    result = run("profiles", "check", str(short))
    assert result.exit_code == 1
    assert "AL308 short-sensor" in result.stdout
    assert run("profiles", "check", str(short), "--fail-on", "never").exit_code == 0
    short.write_text('profile "short" version 1\nlimit rpm\n', encoding="utf-8")
    assert run("profiles", "check", str(short)).exit_code == 2
    assert run("profiles", "show", str(short)).exit_code == 2


@pytest.mark.parametrize("command", ["show", "check"])
def test_unknown_profile_gets_the_nearest(command: str) -> None:
    result = run("profiles", command, "austro-ae30")
    assert result.exit_code == 2
    assert "did you mean austro-ae300?" in result.stderr
    assert run("profiles", command, "zzz").stderr.endswith("alertlang profiles list shows them\n")


def test_tour_ends_well() -> None:
    result = run("tour")
    assert result.exit_code == 0
    for said in ("proved    warm", "refuted   warm", "AL301 unguarded-limit", "advises and does not certify"):
        assert said in result.stdout


# ---- usage


@pytest.mark.parametrize(
    "words",
    [
        ("check",),
        ("check", "--colour", VETTED),
        ("check", "--output", "yaml", VETTED),
        ("check", "--work-limit", "0", VETTED),
        ("prove", "--fail-on", "note", VETTED),
        ("prove",),
        ("profiles", "burn"),
        ("profiles", "show"),
        ("explain", "gap", "conflict"),
        ("tour", "slowly"),
        ("chekc", VETTED),
        ("--fast",),
    ],
)
def test_wrong_usage_is_2(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr


@pytest.mark.parametrize("date", ["2027-13-01", "2027-02-30", "1.2.2027", "tomorrow", "20270630", ""])
def test_a_date_that_is_none_is_wrong_usage(date: str) -> None:
    result = run("check", "--today", date, VETTED)
    assert result.exit_code == 2
    assert "is not a date: write it as" in " ".join(result.stderr.replace("│", " ").split())


# ---- faults and pipes


def test_a_crash_is_2_and_says_so(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("[psi] broke")

    monkeypatch.setattr(check, "checked", fail)
    monkeypatch.setattr(sys, "argv", ["alertlang", "check", VETTED])
    monkeypatch.delenv("ALERTLANG_TRACEBACK", raising=False)
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    assert stopped.value.code == 2
    captured = capsys.readouterr()
    assert "a fault of the tool itself, nothing was decided: RuntimeError: [psi] broke" in captured.err
    assert captured.out == ""
    monkeypatch.setenv("ALERTLANG_TRACEBACK", "1")
    with pytest.raises(RuntimeError):
        cli.main()


def test_an_interruption_is_2(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(check, "checked", stop)
    monkeypatch.setattr(sys, "argv", ["alertlang", "check", VETTED])
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    assert stopped.value.code not in {0, 1, None}


def test_an_interruption_that_a_library_takes_for_its_own_fault_is_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As one does that is interrupted while it is loaded."""

    def stop(*_: object, **__: object) -> None:
        raise ImportError("initialization failed") from KeyboardInterrupt()

    monkeypatch.setattr(check, "checked", stop)
    monkeypatch.setattr(sys, "argv", ["alertlang", "check", VETTED])
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    assert stopped.value.code == 2
    assert capsys.readouterr().err == ""


@pytest.mark.alike
@pytest.mark.parametrize("unbuffered", ["1", ""])
def test_a_closed_pipe_is_no_fault(checkout: Path, unbuffered: str) -> None:
    """As with `| head -1`: nothing is said on standard error, and the code is none that means findings."""
    environment = {**os.environ, "PYTHONUNBUFFERED": unbuffered}
    process = subprocess.Popen(
        [sys.executable, "-m", "alertlang", "check", *[VETTED] * 3],
        cwd=checkout,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    errors = process.stderr.read().decode()
    process.stderr.close()
    assert process.wait(timeout=60) == 2
    assert errors == ""


def test_as_a_program(checkout: Path, files: dict[str, str]) -> None:
    """The same codes arrive at a shell."""
    for kind, code in (("clean", 0), ("error", 1), ("unparsed", 2)):
        done = subprocess.run(
            [sys.executable, "-m", "alertlang", "check", files[kind]], cwd=checkout, capture_output=True, check=False
        )
        assert done.returncode == code
        assert done.stderr == b""
