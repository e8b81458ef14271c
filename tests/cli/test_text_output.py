"""What the commands print for people.

Sources: the documented behaviour (80 columns where there is no terminal; texts in brackets are never taken for markup;
suggestions stand on one line, to be copied), and the convention of no-color.org.
"""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from alertlang.cli.app import app
from alertlang.model.files import shipped_profiles
from alertlang.model.load import load_ruleset
from alertlang.output.style import write
from alertlang.text.resources import examples_dir

EXAMPLES = sorted(examples_dir().rglob("*.alert"))
ESCAPE = "\x1b"
CAUTION = (
    "alertlang advises and does not certify; nothing here is an authority's approval: the aircraft's approved manuals, "
    "local rules and licensed persons decide."
)
# Lines that are not wrapped: suggestions and other text of files, to be copied, and the place of a finding.
COPIED = re.compile(r"  (add|change to): +|    \S|\S+:\d+:\d+: (error|warning|note) AL\d{3} ")

HEAD = 'rules "case" version 1\nsource S common practice "[psi] of [bold]oil[/bold]"\n'
BRACKETS = (
    HEAD + 'quantity oil_pressure "Oil [psi]" from 0 to 100 psi, step 1 psi\n'
    'limit oil_pressure at least 25 psi, needs warning, source S "[red]"\n'
    'oil_pressure from 20 to 24 is red with advisory "[psi] [red]"\n'
    "oil_pressure below 20 is yellow\noil_pressure above 25 is green\n"
)  # fmt: skip


def run(*words: str, stdin: str | bytes | None = None) -> Result:
    return CliRunner().invoke(app, list(words), input=stdin)


# ---- width


@pytest.mark.alike
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_text_fits_80_columns(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(examples_dir().parent)
    shown = path.relative_to(examples_dir().parent).as_posix()
    for command in ("check", "prove"):
        long = [line for line in run(command, shown).stdout.splitlines() if len(line) > 80]
        assert [line for line in long if not COPIED.match(line)] == []


@pytest.mark.parametrize("words", [("profiles", "list"), ("profiles", "check"), ("profiles", "show", "austro-ae300")])
def test_profiles_fit_80_columns(words: tuple[str, ...]) -> None:
    lines = run(*words).stdout.splitlines()
    # The first line of a sheet names the file, which is not broken.
    assert [line for line in lines[1:] if len(line) > 80] == []


@pytest.mark.alike
@pytest.mark.parametrize(
    "environment", [{"COLUMNS": "20", "TERM": "dumb"}, {"COLUMNS": "200", "CI": "true", "FORCE_COLOR": "1"}]
)
def test_a_pipe_is_80_columns_wherever_it_is(environment: dict[str, str], checkout: Path) -> None:
    """And nothing is cut: what does not fit is wrapped."""
    done = subprocess.run(
        [sys.executable, "-m", "alertlang", "profiles", "list"],
        cwd=checkout,
        env={"PATH": os.environ.get("PATH", ""), **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    assert "..." not in done.stdout
    said = " ".join(done.stdout.split())
    for path in shipped_profiles().values():
        loaded = load_ruleset(path)
        assert loaded.ruleset is not None
        assert f" {loaded.ruleset.name} " in said
        assert " ".join(loaded.ruleset.about[0].split()) in said
    # As a table it can still be searched line by line.
    assert re.search(r"^engines +continental-o-200-a +\d+d +\d+s +\d+c +\d+m$", done.stdout, re.MULTILINE)


def test_a_long_suggestion_stays_on_one_line() -> None:
    found = run("check", str(examples_dir() / "02-bramble" / "mistakes" / "missing-alert.alert")).stdout
    assert (
        "\n  add:         when ((rpm above 400 rpm and rpm below 1000 rpm) or rpm failed) and oil_pressure "
        'below 10 psi then warning "OIL PRESSURE LOW"\n'
    ) in found


def test_a_long_line_of_a_file_is_cut_to_the_place() -> None:
    text = HEAD + "quantity rpm from 0 to 3500 rpm\n" + "rpm   " + " " * 200 + "abov 2000 is red\n"
    lines = run("check", "-", stdin=text).stdout.splitlines()
    at = next(i for i, line in enumerate(lines) if "abov" in line and " | " in line)
    assert len(lines[at]) <= 80
    marked = lines[at + 1].index("^")
    assert lines[at][marked:].startswith("abov")


# ---- plain text


def test_brackets_are_never_swallowed(tmp_path: Path) -> None:
    path = tmp_path / "case[psi].alert"
    path.write_text(BRACKETS, encoding="utf-8")
    said = run("check", str(path)).stdout
    assert f"{path}:" in said
    assert 'oil_pressure from 20 to 24 is red with advisory "[psi] [red]"' in said
    assert "the limit comes from: common practice, no source: [psi] of [bold]oil[/bold] ([red])" in " ".join(
        said.split()
    )
    accepted = BRACKETS + 'accept gap on oil_pressure because "[psi] [/] known"\n'
    assert "accepted:    [psi] [/] known" in run("check", "-", stdin=accepted).stdout


@pytest.mark.alike
@pytest.mark.parametrize(
    "environment", [{}, {"NO_COLOR": "1"}, {"FORCE_COLOR": "1", "NO_COLOR": "1"}, {"TERM": "dumb"}]
)
def test_a_pipe_gets_no_escape_codes(checkout: Path, environment: dict[str, str]) -> None:
    path = examples_dir() / "01-first-rules" / "first-mistake.alert"
    done = subprocess.run(
        [sys.executable, "-m", "alertlang", "check", str(path)],
        cwd=checkout,
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 1
    assert ESCAPE.encode() not in done.stdout + done.stderr


def on_terminal(checkout: Path, **environment: str) -> str:
    """The output of a check as a terminal would get it."""
    ours, theirs = pty.openpty()
    path = examples_dir() / "01-first-rules" / "first-mistake.alert"
    kept = {k: v for k, v in os.environ.items() if k not in {"NO_COLOR", "FORCE_COLOR", "TERM"}}
    process = subprocess.Popen(
        [sys.executable, "-m", "alertlang", "check", str(path)],
        cwd=checkout,
        env={**kept, "TERM": "xterm-256color", **environment},
        stdout=theirs,
        stderr=subprocess.DEVNULL,
        stdin=subprocess.DEVNULL,
    )
    os.close(theirs)
    said = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:
            break
        if not piece:
            break
        said += piece
    os.close(ours)
    assert process.wait(timeout=60) == 1
    return said.decode()


def test_a_terminal_gets_colour_unless_it_is_not_wanted(checkout: Path) -> None:
    coloured = on_terminal(checkout)
    assert ESCAPE in coloured
    for plain in (on_terminal(checkout, NO_COLOR="1"), on_terminal(checkout, TERM="dumb")):
        assert ESCAPE not in plain
        assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_colour_takes_nothing_for_markup(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    stream = _Terminal()
    write([[("error", "[psi]"), ("", " [bold]25[/bold] :warning:")]], stream)
    assert re.sub(r"\x1b\[[0-9;]*m", "", stream.getvalue()) == "[psi] [bold]25[/bold] :warning:\n"


# ---- what is always said


def test_every_report_closes_with_the_caution() -> None:
    vetted = str(examples_dir() / "02-bramble" / "bramble.alert")
    for words in (("check", vetted), ("prove", vetted), ("profiles", "check"), ("tour",), ("check", "absent.alert")):
        assert " ".join(run(*words).stdout.split()).endswith(CAUTION), words
    assert run("check", vetted, vetted).stdout.count("advises and does not certify") == 1


def test_the_caution_stands_once(checkout: Path) -> None:
    """Whatever prints it takes it from one place, so that it says the same everywhere."""
    files = [one for one in (checkout / "alertlang").rglob("*") if one.suffix in {".py", ".j2", ".typ", ".toml"}]
    having = [one.name for one in files if re.search("licensed persons|does not certify", one.read_text("utf-8"))]
    assert having == ["text.py"]
    assert re.findall("licensed", (checkout / "alertlang/output/text.py").read_text("utf-8")) == ["licensed"]


def test_version() -> None:
    assert re.fullmatch(r"alertlang \d+\.\d+\.\d+\n", run("--version").stdout)


@pytest.mark.parametrize("words", [("--help",), ("-h",), ("check", "--help"), ("prove", "-h"), ("profiles", "-h")])
def test_help(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert result.exit_code == 0
    assert "Usage: " in result.stdout
