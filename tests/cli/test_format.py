"""`alertlang format` on files: what is written, what is said, how it ends.

Source: the documented command line and its exit codes (0; 1 with --check if something would change; 2 for what could
not be read or written).
"""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.format import text as formatting

UGLY = 'rules  "x" version 1\n\n\n\nrpm above 5 is amber   # why\n'
CANONICAL = 'rules "x" version 1\n\nrpm above 5 is yellow  # why\n'
BROKEN = UGLY + "rpm is rather high\n"


def run(*words: str | Path, stdin: str | bytes | None = None) -> Result:
    return CliRunner().invoke(app, ["format", *map(str, words)], input=stdin)


@pytest.fixture
def ugly(tmp_path: Path) -> Path:
    path = tmp_path / "x.alert"
    path.write_text(UGLY, encoding="utf-8")
    return path


def _left_alone(path: Path, before: bytes) -> bool:
    return path.read_bytes() == before and [p.name for p in path.parent.iterdir()] == [path.name]


# ---- in place


def test_a_file_is_rewritten_where_it_stands(ugly: Path) -> None:
    result = run(ugly)
    assert (result.exit_code, result.stdout, result.stderr) == (0, f"formatted: {ugly}\n", "")
    assert _left_alone(ugly, CANONICAL.encode())


def test_a_file_in_its_form_is_not_rewritten(tmp_path: Path) -> None:
    path = tmp_path / "x.alert"
    path.write_text(CANONICAL, encoding="utf-8")
    os.utime(path, ns=(10**18, 10**18))
    before = path.stat()
    result = run(path)
    assert (result.exit_code, result.stdout) == (0, "as it should be\n")
    after = path.stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert _left_alone(path, CANONICAL.encode())


def test_several_files(ugly: Path, tmp_path: Path) -> None:
    good, broken, more = (tmp_path / name for name in ("good.profile", "broken.alert", "more.alert"))
    good.write_text('profile "good" version 1\n', encoding="utf-8")
    broken.write_text(BROKEN, encoding="utf-8")
    more.write_text(UGLY, encoding="utf-8")
    result = run(good, ugly, broken, more)
    assert result.exit_code == 2
    assert result.stdout == f"formatted: {ugly}\nformatted: {more}\n"
    assert more.read_text("utf-8") == ugly.read_text("utf-8") == CANONICAL
    assert broken.read_text("utf-8") == BROKEN
    again = run(good, ugly, more)
    assert (again.exit_code, again.stdout) == (0, "all 3 files are as they should be\n")


@pytest.mark.skipif(os.name != "posix", reason="permissions of other systems are not like these")
def test_permissions_are_kept(ugly: Path) -> None:
    ugly.chmod(0o604)
    assert run(ugly).exit_code == 0
    assert stat.S_IMODE(ugly.stat().st_mode) == 0o604


def test_a_link_stays_one(ugly: Path, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    link = folder / "link.alert"
    try:
        link.symlink_to(ugly)
    except OSError:
        pytest.skip("this system or user makes no links")
    assert run(link).stdout == f"formatted: {link}\n"
    assert link.is_symlink()
    assert ugly.read_text("utf-8") == CANONICAL


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (UGLY.replace("\n", "\r\n"), CANONICAL.replace("\n", "\r\n")),
        (UGLY.replace("\n", "\r"), CANONICAL.replace("\n", "\r")),
        ("\ufeff" + UGLY, "\ufeff" + CANONICAL),
        ("\ufeff" + UGLY.replace("\n", "\r\n"), "\ufeff" + CANONICAL.replace("\n", "\r\n")),
        # The first line ending serves all.
        (UGLY.replace("\n", "\r\n", 1), CANONICAL.replace("\n", "\r\n")),
        (UGLY.replace("\n", "\r\n").replace("\r\n", "\n", 1), CANONICAL),
        (CANONICAL.replace("\n", "\r\n", 1), CANONICAL.replace("\n", "\r\n")),
        (CANONICAL.rstrip("\n"), CANONICAL),
        ("\n \n", ""),
        ("", ""),
    ],
)
def test_line_endings_and_mark_of_the_file_are_kept(tmp_path: Path, before: str, after: str) -> None:
    path = tmp_path / "x.alert"
    path.write_bytes(before.encode())
    assert run(path).exit_code == 0
    assert path.read_bytes() == after.encode()
    assert run("-", stdin=before.encode()).stdout_bytes == after.encode()
    assert run("--check", path).exit_code == 0


# ---- --check and --diff


def test_check_writes_nothing(ugly: Path, tmp_path: Path) -> None:
    result = run("--check", ugly)
    assert (result.exit_code, result.stdout) == (1, f"would be formatted: {ugly}\n")
    assert _left_alone(ugly, UGLY.encode())
    run(ugly)
    result = run("--check", ugly)
    assert (result.exit_code, result.stdout) == (0, "as it should be\n")
    # What cannot be read is worse than what would change.
    broken = tmp_path / "broken.alert"
    broken.write_text(BROKEN, encoding="utf-8")
    ugly.write_text(UGLY, encoding="utf-8")
    assert run("--check", broken, ugly).exit_code == 2


DIFF = """--- {0}
+++ {0} (formatted)
@@ -1,5 +1,3 @@
-rules  "x" version 1
+rules "x" version 1
~
-
-
-rpm above 5 is amber   # why
+rpm above 5 is yellow  # why
""".replace("~", " ")


def test_diff_is_shown_and_nothing_written(ugly: Path) -> None:
    result = run("--diff", ugly)
    assert (result.exit_code, result.stdout) == (0, DIFF.format(ugly))
    assert run("--diff", "--check", ugly).exit_code == 1
    assert run("--diff", "--check", ugly).stdout == DIFF.format(ugly)
    assert _left_alone(ugly, UGLY.encode())
    run(ugly)
    result = run("--diff", "--check", ugly)
    assert (result.exit_code, result.stdout) == (0, "")


def test_diff_of_bytes_that_are_no_plain_text(tmp_path: Path) -> None:
    path = tmp_path / "x.alert"
    path.write_bytes('about  "é"\r\nabout "b"'.encode())
    assert run("--diff", path).stdout_bytes.decode() == (
        f"--- {path}\n+++ {path} (formatted)\n@@ -1,2 +1,2 @@\n"
        '-about  "é"\r\n-about "b"\n\\ No newline at end of file\n+about "é"\r\n+about "b"\r\n'
    )


# ---- standard input


def test_standard_input_goes_to_standard_output() -> None:
    result = run("-", stdin=UGLY)
    assert (result.exit_code, result.stdout, result.stderr) == (0, CANONICAL, "")
    assert run("-", stdin=CANONICAL).stdout == CANONICAL
    assert (run("--check", "-", stdin=UGLY).exit_code, run("--check", "-", stdin=CANONICAL).exit_code) == (1, 0)
    assert run("--check", "-", stdin=UGLY).stdout == "would be formatted: <standard input>\n"
    assert run("--check", "-", stdin=CANONICAL).stdout == ""
    assert run("--diff", "-", stdin=UGLY).stdout == DIFF.format("<standard input>")


def test_nothing_is_written_for_broken_standard_input() -> None:
    # Whoever pipes a file through must not get an empty one that looks like success.
    result = run("-", stdin=BROKEN)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "<standard input>:6:5: error AL102 syntax" in result.stderr
    assert "<standard input>: not formatted, left as it is" in result.stderr


def test_standard_input_stands_alone(ugly: Path) -> None:
    result = run("-", ugly, stdin=UGLY)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert ugly.read_text("utf-8") == UGLY


def test_bytes_arrive_whatever_the_environment_says() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "alertlang", "format", "-"],
        input='about   "é → ü"\r\n'.encode(),
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
        check=True,
    )
    assert done.stdout == 'about "é → ü"\r\n'.encode()


# ---- what is left as it is


@pytest.mark.parametrize("options", [(), ("--check",), ("--diff",)])
def test_a_broken_file_is_left_alone_and_its_mistakes_are_said(tmp_path: Path, options: tuple[str, ...]) -> None:
    path = tmp_path / "x.alert"
    path.write_text(BROKEN + "rpm above 1 is red latched latched\n", encoding="utf-8")
    result = run(*options, path)
    assert (result.exit_code, result.stdout) == (2, "")
    assert f"{path}:6:5: error AL102 syntax" in result.stderr
    assert f"{path}:7:28: error AL112 bad-value" in result.stderr
    assert result.stderr.endswith(f"{path}: not formatted, left as it is\n")
    assert _left_alone(path, (BROKEN + "rpm above 1 is red latched latched\n").encode())


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b'about  "\xff"\n', "the file is not UTF-8"),
        (b"\xff\xfea\x00", "the file is UTF-16"),
        (b"a\x00b", "this is not a text file"),
    ],
)
def test_what_is_no_text(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "x.alert"
    path.write_bytes(data)
    result = run(path)
    assert result.exit_code == 2
    assert said in result.stderr
    assert _left_alone(path, data)


def test_what_is_no_file(tmp_path: Path) -> None:
    for name, said in ((tmp_path / "none.alert", "there is no such file"), (tmp_path, "this is a folder")):
        result = run(name)
        assert result.exit_code == 2
        assert said in result.stderr
        assert "not formatted" in result.stderr


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes on this system")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    result = run(pipe)
    assert result.exit_code == 2
    assert "not a plain file" in result.stderr


def test_a_read_only_file_is_left_alone(ugly: Path) -> None:
    # For every user: the superuser could write it, and still was told not to.
    ugly.chmod(0o444)
    result = run(ugly)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == (
        f"alertlang: {ugly} is not formatted and left as it is: the file or its folder may not be written\n"
    )
    assert _left_alone(ugly, UGLY.encode())
    # Looking is allowed.
    assert run("--check", ugly).exit_code == 1


@pytest.mark.parametrize(
    ("problem", "said"),
    [(PermissionError(13, "Permission denied"), "may not be written"), (OSError(28, "No space left"), "no space left")],
)
def test_a_file_that_cannot_be_written(
    ugly: Path, monkeypatch: pytest.MonkeyPatch, problem: OSError, said: str
) -> None:
    def fails(source: object, target: object) -> None:
        raise problem

    monkeypatch.setattr(os, "replace", fails)
    result = run(ugly)
    assert (result.exit_code, result.stdout) == (2, "")
    assert said in result.stderr
    assert _left_alone(ugly, UGLY.encode())


def test_a_text_that_would_say_something_else_is_not_written(ugly: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lines = formatting._lines
    monkeypatch.setattr(formatting, "_lines", lambda tree: [line.replace("5", "6") for line in lines(tree)])
    result = run(ugly)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "a fault of the tool itself" in result.stderr
    assert "the statement in line 5 would say something else: rpm above 6 is yellow" in result.stderr
    assert _left_alone(ugly, UGLY.encode())
    assert run("-", stdin=UGLY).stdout == ""
