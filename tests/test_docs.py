"""Everything that the pages show is run: files, changes to them, commands with their output and pictures, Python.

The pages are README.md, DEVELOPERS.md, the walks (each README.md under examples/) and two of the reference in grammar/;
LANGUAGE.md, SCENARIOS.md and LOGS.md have tests of their own.

Comments before a block say what to do with it, in the order of the page:

    <!-- file: NAME -->                     an `alert` or `python` block is the content of that file from here on
    <!-- append: NAME -->                   an `alert` block is added at the end of that file
    <!-- change: NAME "OLD" -> "NEW" -->    the one OLD in that file is replaced

A `console` block is commands, each after `$ `, with what they print. Where the tool prints something else now, this
writes it into the pages, and the pictures beside them (look at the difference before you keep it):

    python -m tests.test_docs
"""

from __future__ import annotations

import difflib
import os
import re
import shutil
import subprocess
import sys
import tempfile
from contextlib import chdir
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import pages
from alertlang.cli.app import app
from alertlang.findings.codes import CODES
from alertlang.model.load import load_ruleset

CHECKOUT = Path(__file__).resolve().parent.parent
WALKS = tuple(sorted(path.relative_to(CHECKOUT).as_posix() for path in (CHECKOUT / "examples").rglob("README.md")))
PAGES = ("README.md", "DEVELOPERS.md", "grammar/CHECKS.md", "grammar/COMMANDS.md", *WALKS)

_BLOCK = re.compile(r"((?:^<!-- [^\n]* -->\n)*)^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_TABLE = re.compile(r"(?<=\| code \| name \| severity \| it finds \|\n\|---\|---\|---\|---\|\n)(?:\|[^\n]*\|\n)*")
# Other solvers may stand in a summary line; its version is not what a page is about.
_SOLVER = re.compile(r"\bz3\s+\d+(?:\.\d+)+")


def played(text: str, folder: Path) -> str:
    """The page as it would read with what every command prints now. `folder` holds nothing yet."""
    place = folder / "place"
    place.mkdir()
    shutil.copytree(CHECKOUT / "examples", place / "examples")
    environment = _environment(folder / "bin")

    def block(match: re.Match[str]) -> str:
        notes, kind, body = re.findall(r"^<!-- (.*?) -->$", match[1], re.MULTILINE), match[2], match[3]
        for note in notes:
            _follow(note, body, place)
        if kind == "alert":
            assert notes, f"a block is not told what it is:\n{body}"
        if kind != "console":
            return match[0]
        commands = [line[2:] for line in body.splitlines() if line.startswith("$ ")]
        assert body.startswith("$ "), body
        shown = "".join(f"$ {command}\n{_printed(command, place, environment)}" for command in commands)
        return f"{match[1]}```console\n{shown}```"

    return _TABLE.sub(lambda _: _rows(), _BLOCK.sub(block, text))


def _follow(note: str, body: str, place: Path) -> None:
    verb, _, rest = note.partition(": ")
    if verb == "file":
        (place / rest).write_text(body, encoding="utf-8")
    elif verb == "append":
        before = (place / rest).read_text(encoding="utf-8")
        (place / rest).write_text(before + "\n" + body, encoding="utf-8")
    elif verb == "change":
        change = re.fullmatch(r'(\S+) "(.*)" -> "(.*)"', rest)
        assert change is not None, note
        rest, old, new = change.groups()
        before = (place / rest).read_text(encoding="utf-8")
        assert before.count(old) == 1, f"{note}: it stands there {before.count(old)} times"
        (place / rest).write_text(before.replace(old, new), encoding="utf-8")
    else:
        raise AssertionError(f"what is {note}?")
    if rest.endswith((".alert", ".profile")):
        # What a page has put into a library may be used.
        vetted = tuple(sorted(place.glob("library/entries/*/files")))
        loaded = load_ruleset(place / rest, shown=rest, search=vetted)
        assert loaded.ruleset is not None, [f.message for f in loaded.findings]


def _environment(tools: Path) -> dict[str, str]:
    """A shell that has `alertlang` and `python`, whatever is installed, and no terminal."""
    tools.mkdir()
    for name, words in (("alertlang", f'"{sys.executable}" -m alertlang'), ("python", f'"{sys.executable}"')):
        script = tools / name
        script.write_text(f'#!/bin/sh\nexec {words} "$@"\n', encoding="utf-8")
        script.chmod(0o755)
    return {
        "PATH": f"{tools}{os.pathsep}{os.environ.get('PATH', '')}",
        "PYTHONPATH": str(CHECKOUT),
        "PYTHONUTF8": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "LC_ALL": "C",
    }


def _printed(command: str, place: Path, environment: dict[str, str]) -> str:
    if re.fullmatch(r"alertlang [\w ./-]+", command):
        # Nothing of it is for a shell.
        with chdir(place):
            ended = CliRunner().invoke(app, command.split()[1:], prog_name="alertlang")
        assert ended.exception is None or isinstance(ended.exception, SystemExit), ended.exception
        return ended.output
    done = subprocess.run(
        ["sh", "-c", command],
        cwd=place,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
    )
    assert "fault of the tool" not in done.stdout, done.stdout
    return done.stdout


def _rows() -> str:
    """The table of checks, from the table of codes and the first line of each page."""
    return "".join(
        f"| {code.code} | {code.name} | {code.severity.word} | {pages()[code.name].strip().splitlines()[0]} |\n"
        for code in CODES.values()
        if not code.reading
    )


def _seen(picture: str) -> list[str]:
    """What one can see in a picture, whatever version drew it: its texts and its colours, in order."""
    return re.findall(r"(?<=fill: )[^;\"]+|(?<=>)[^<>]+(?=</text>)", picture)


def _drawn(folder: Path) -> list[tuple[Path, str]]:
    """The pictures of the examples as they are after a page was played: where each belongs, and what it is."""
    found = sorted((folder / "place" / "examples").rglob("*.svg"))
    return [(CHECKOUT / one.relative_to(folder / "place"), one.read_text(encoding="utf-8")) for one in found]


@pytest.mark.parametrize("name", PAGES)
def test_page_happens_as_told(name: str, tmp_path: Path) -> None:
    text = (CHECKOUT / name).read_text(encoding="utf-8")
    told, happens = (_SOLVER.sub("z3", one).splitlines() for one in (text, played(text, tmp_path)))
    difference = "\n".join(difflib.unified_diff(told, happens, "told", "happens", lineterm="", n=1))
    assert not difference, f"`python -m tests.test_docs` brings the page up to date:\n{difference}"
    for path, picture in _drawn(tmp_path):
        assert path.exists(), path
        assert _seen(picture) == _seen(path.read_text(encoding="utf-8")), f"{path} shows something else now"


def test_readme_shows_enough_to_follow() -> None:
    text = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    assert sum(1 for match in _BLOCK.finditer(text) if match[2] == "console") >= 3


@pytest.mark.parametrize(("name", "most"), [("README.md", 200), ("DEVELOPERS.md", 250)])
def test_a_first_page_stays_short(name: str, most: int) -> None:
    assert len((CHECKOUT / name).read_text(encoding="utf-8").splitlines()) <= most


def test_every_picture_of_the_readme_is_drawn_by_a_page() -> None:
    shown = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", (CHECKOUT / "README.md").read_text(encoding="utf-8"))
    walks = "".join((CHECKOUT / name).read_text(encoding="utf-8") for name in WALKS)
    assert len(shown) >= 2
    assert [one for one in shown if f"-o {one}\n" not in walks] == []


def test_every_folder_of_examples_has_its_walk_and_the_readme_names_it() -> None:
    folders = sorted(path.name for path in (CHECKOUT / "examples").iterdir() if path.is_dir())
    assert list(WALKS) == [f"examples/{name}/README.md" for name in folders]
    text = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    pages = (*PAGES[1:], *(f"grammar/{path.name}" for path in (CHECKOUT / "grammar").glob("*.md")))
    assert [name for name in pages if f"]({name})" not in text] == []


@pytest.mark.parametrize("name", ["DEVELOPERS.md", "grammar/COMMANDS.md"])
def test_python_on_the_page_runs(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(CHECKOUT)
    # One that is a file of its own is run by a command of the page.
    pieces = [m[3] for m in _BLOCK.finditer((CHECKOUT / name).read_text("utf-8")) if m[2] == "python" and not m[1]]
    assert pieces
    for piece in pieces:
        exec(compile(piece, name, "exec"), {})
        assert capsys.readouterr().out


def test_table_of_checks_is_the_table_of_codes() -> None:
    text = (CHECKOUT / "grammar" / "CHECKS.md").read_text(encoding="utf-8")
    assert _TABLE.search(text)
    rows = re.findall(r"^\| (AL\d+) \| ([\w-]+) \| (\w+) \|", text, re.MULTILINE)
    assert rows == [(c.code, c.name, c.severity.word) for c in CODES.values() if not c.reading]


def test_commands_of_the_table_are_those_there_are() -> None:
    text = (CHECKOUT / "grammar" / "COMMANDS.md").read_text(encoding="utf-8")
    listed = set(re.findall(r"^\| `alertlang ([\w-]+)", text, re.MULTILINE))
    shown = subprocess.run(
        [sys.executable, "-m", "alertlang", "--help"],
        cwd=CHECKOUT,
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    assert listed == set(re.findall(r"^  ([a-z][\w-]*) +[A-Z]", shown.stdout, re.MULTILINE))


@pytest.mark.parametrize("name", PAGES[:2])
def test_targets_of_make_exist(name: str) -> None:
    makefile = (CHECKOUT / "Makefile").read_text(encoding="utf-8")
    named = set(re.findall(r"(?:^|`)make (\w+)", (CHECKOUT / name).read_text("utf-8"), re.MULTILINE))
    assert named
    assert {target for target in named if not re.search(rf"^{target}:", makefile, re.MULTILINE)} == set()


@pytest.mark.parametrize("name", PAGES)
def test_links_lead_somewhere(name: str) -> None:
    prose = _BLOCK.sub("", (CHECKOUT / name).read_text(encoding="utf-8"))
    slugs = {re.sub(r"[^a-z0-9 -]", "", h.lower()).replace(" ", "-") for h in re.findall(r"^#+ (.+)$", prose, re.M)}
    for link in re.findall(r"\]\(([^):]+)\)", prose):
        path, _, part = link.partition("#")
        assert (CHECKOUT / name).parent.joinpath(path).exists() if path else part in slugs, link


def test_map_of_the_packages_is_complete() -> None:
    text = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = {one.parent.name for one in (CHECKOUT / "alertlang").glob("*/__init__.py")} | {"api"}
    assert found <= set(re.findall(r"^\| `(\w+)` \|", text, re.MULTILINE))


def test_a_page_that_tells_something_else_is_found_out(tmp_path: Path) -> None:
    text = "```console\n$ alertlang explain no-such-check\nall is well\n```\n"
    assert "there is no check no-such-check" in played(text, tmp_path)


def _update() -> None:
    for name in PAGES:
        path = CHECKOUT / name
        text = path.read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as folder:
            new = played(text, Path(folder))
            pictures = _drawn(Path(folder))
        for target, picture in pictures:
            if not target.exists() or _seen(picture) != _seen(target.read_text(encoding="utf-8")):
                target.write_text(picture, encoding="utf-8")
                print(f"{target.relative_to(CHECKOUT)} is drawn anew")
        if _SOLVER.sub("z3", new) != _SOLVER.sub("z3", text):
            path.write_text(new, encoding="utf-8")
            print(f"{name} is up to date now")


if __name__ == "__main__":
    _update()
