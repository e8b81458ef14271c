"""One digest of the rules, the same wherever it is told."""

from __future__ import annotations

import json
import re
from pathlib import Path

from typer.testing import CliRunner

from alertlang import load, loads
from alertlang.cli.app import app
from alertlang.documents.report import report_data
from alertlang.library.entry import read_entry
from alertlang.library.identity import content_digest
from tests.library.conftest import RULES, Run


def test_the_library_and_papers_tell_the_same(approved: Run) -> None:
    model = load("tiny.alert").model
    whole = content_digest(model)
    _, entry = read_entry(Path("library"), "tiny")
    assert entry.rules_digest == whole == content_digest(model)
    short = whole[:16]
    assert re.search(rf"tiny +1 +{short} ", approved("list").output)
    assert f"tiny version 1  {short}\n" in approved("show", "tiny").output
    assert json.loads(approved("list", "--output", "json").stdout)["entries"][0]["digest"] == whole
    shown = json.loads(approved("show", "tiny", "--output", "json").stdout)
    assert (shown["entry"]["digest"], shown["state"]["approves"]) == (whole, entry.content_digest)
    assert approved("add", "tiny.alert", "--replace").output.startswith(f"added tiny version 1 (2 files): {short}\n")
    result = CliRunner().invoke(app, ["report", "tiny.alert", "-o", "report.html"])
    assert result.exit_code == 0, result.output
    page = Path("report.html").read_text(encoding="utf-8")
    assert f"Rules {short}; checked with" in page
    assert "z3 z3" not in page
    assert approved("derive", "tiny", "sub.alert", "--name", "sub").exit_code == 2, "tiny.alert lies beside it"
    Path("tiny.alert").unlink()
    assert approved("derive", "tiny", "sub.alert", "--name", "sub").exit_code == 0
    assert f"({short})" in Path("sub.alert").read_text(encoding="utf-8")


def test_files_without_a_statement_that_counts_are_told_by_what_they_say(tmp_path: Path) -> None:
    """A base of which everything is replaced: comments of it make no difference, and another `about` does."""
    own = 'rules "own" version 1\nuse rules "base"\nquantity rpm from 0 to 9\nreplace all: rpm is green\n'
    base = 'rules "base" version 1\nuse profile "p"\nall: rpm from 1 to 2 is red\n'
    (tmp_path / "p.profile").write_text(
        'profile "p" version 1\nsource S common practice\nquantity rpm from 0 to 9, source S\n', encoding="utf-8"
    )
    path = tmp_path / "own.alert"
    path.write_text(
        own.replace("quantity rpm from 0 to 9\n", "").replace("rpm is", "rpm from 0 to 9 is"), encoding="utf-8"
    )
    found = []
    for text in (base, f"# so\n{base}", base.replace("1 to 2", "1 to 3")):
        (tmp_path / "base.alert").write_text(text, encoding="utf-8")
        found.append(content_digest(load(path).model))
    assert found[0] == found[1] != found[2]


def test_advice_is_not_said_to_be_nothing(run: Run) -> None:
    """A note of the standards stands apart from the findings: it must not be counted and then denied."""
    for text, said in (
        (RULES, "None is open."),
        (RULES.replace('"OVERSPEED"', '"OVERSPEED" latched'), "None is open but the note under Published rules."),
    ):
        data = report_data(loads(text, folder=Path.cwd()).model, tool="t", solver="s", digest="d")
        assert data["findings"] == []
        assert (data["counts"].split("; ")[0].endswith("1 note"), data["none_open"]) == ("note under" in said, said)
