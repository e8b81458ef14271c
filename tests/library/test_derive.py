"""A new aircraft from an entry, its departures, and a profile that changes under entries."""

from __future__ import annotations

import json
from pathlib import Path

from alertlang import load
from tests.library.conftest import PROFILE, RULES, Run, tree


def _derived(run: Run) -> None:
    assert run("derive", "tiny", "osier.alert", "--name", "osier").exit_code == 0
    with open("osier.alert", "a", encoding="utf-8") as opened:
        opened.write('replace fast: rpm above 2600 rpm is red with warning "OVERSPEED"\n')
        opened.write('drop loud because "the claim is made elsewhere"\n')
        opened.write("extra: prove rpm above 2650 rpm is red\n")
    added = run("add", "osier.alert", "--path", "library/entries/tiny/files")
    assert added.exit_code == 0, added.output


def test_derived_rules_read_the_entry_where_it_is(approved: Run) -> None:
    Path("tiny.alert").unlink()
    before = tree(Path("library"))
    result = approved("derive", "tiny", "osier.alert", "--name", "osier")
    assert result.exit_code == 0
    assert "alertlang check osier.alert --path library/entries/tiny/files" in result.output
    rules = load("osier.alert", search=["library/entries/tiny/files"])
    assert (rules.name, [o.name for o in rules.model.origins]) == ("osier", ["tiny-engine", "tiny", "osier"])
    assert rules.check().findings == ()
    assert tree(Path("library")) == before


def test_derive_overwrites_nothing_and_writes_nothing_into_a_library(approved: Run) -> None:
    Path("osier.alert").write_text("mine", encoding="utf-8")
    result = approved("derive", "tiny", "osier.alert")
    assert (result.exit_code, "is there already" in result.stderr) == (2, True)
    assert Path("osier.alert").read_text(encoding="utf-8") == "mine"
    before = tree(Path("library"))
    for path, says in (("library/new.alert", "is inside the library"), ("new.txt", "is not the name of a rule file")):
        result = approved("derive", "tiny", path, "--name", "new")
        assert (result.exit_code, says in " ".join(result.stderr.split())) == (2, True)
    assert "cannot be called tiny" in approved("derive", "tiny", "x.alert", "--name", "tiny").stderr
    assert tree(Path("library")) == before


def test_derive_says_if_another_file_would_be_used(approved: Run) -> None:
    """tiny.alert lies in the same folder here, and is found before the library's."""
    Path("sub").mkdir()
    Path("sub/tiny.alert").write_bytes(Path("tiny.alert").read_bytes())
    Path("sub/tiny-engine.profile").write_bytes(Path("tiny-engine.profile").read_bytes())
    result = approved("derive", "tiny", "sub/osier.alert")
    assert (result.exit_code, "sub/tiny.alert is found before it" in result.stderr) == (2, True)
    assert not Path("sub/osier.alert").exists()


def test_departures(approved: Run) -> None:
    Path("tiny.alert").unlink()
    Path("tiny-engine.profile").unlink()
    _derived(approved)
    said = " ".join(approved("show", "osier").output.split())
    assert "Builds on tiny version 1 (as it stands in the library)" in said
    assert "dropped loud because: the claim is made elsewhere" in said
    assert "replaced fast" in said
    assert "+ replace fast: rpm above 2600 rpm is red" in said
    assert "added extra" in said
    base = json.loads(approved("show", "osier", "--output", "json").stdout)["entry"]["bases"][0]
    assert [one["what"] for one in base["departures"]] == ["replaced", "dropped", "added"]
    assert base["meaning"]["same"] is False


def test_a_profile_that_changes(approved: Run) -> None:
    before = tree(Path("library"))
    Path("tiny-engine.profile").write_text(PROFILE.replace("at most 2700", "at most 2600"), encoding="utf-8")
    result = approved("affected", "tiny-engine.profile")
    said = " ".join(result.output.split())
    assert result.exit_code == 1
    assert "touched tiny by meaning:" in said
    assert "findings: none before; 2 errors with it" in said
    assert "new finding: error unguarded-limit" in said
    data = json.loads(approved("affected", "tiny-engine.profile", "--output", "json").stdout)
    assert sorted(one["name"] for one in data["affected"][0]["findings"]) == ["missing-alert", "unguarded-limit"]
    assert tree(Path("library")) == before


def test_a_profile_that_does_not_change_touches_nothing(approved: Run) -> None:
    Path("tiny-engine.profile").write_text(f"# other comments\n{PROFILE}", encoding="utf-8")
    result = approved("affected", "tiny-engine.profile")
    assert (result.exit_code, "touches 0 entries; 1 has it already" in " ".join(result.output.split())) == (0, True)
    result = approved("affected", "electrical-14v")
    assert (result.exit_code, "touches 0 entries" in result.output) == (0, True)


def test_a_profile_that_breaks_an_entry(approved: Run) -> None:
    Path("tiny-engine.profile").write_text(
        PROFILE.replace("rpm", "speed", 1).replace("limit rpm", "limit speed"), encoding="utf-8"
    )
    result = approved("affected", "tiny-engine.profile")
    assert (result.exit_code, "what it does is not known" in " ".join(result.output.split())) == (1, True)
    Path("tiny-engine.profile").write_text("profile", encoding="utf-8")
    assert approved("affected", "tiny-engine.profile").exit_code == 2
    assert approved("affected", "nothing.profile").exit_code == 2


def test_a_finding_that_moved_is_one_line(run: Run) -> None:
    """Not one that is new and another that is gone; and what is new or gone stays so."""
    Path("tiny.alert").write_text(
        RULES.replace("fast: rpm above 2700", "fast: rpm above 2900").replace("loud: prove", "# prove")
        + "high_too: rpm from 2700 to 2900 rpm is yellow\n",
        encoding="utf-8",
    )
    assert run("add", "tiny.alert").exit_code == 0
    Path("tiny-engine.profile").write_text(PROFILE.replace("at most 2700", "at most 2650"), encoding="utf-8")
    result = run("affected", "tiny-engine.profile")
    said = " ".join(result.output.split())
    assert result.exit_code == 1
    assert "now: error unguarded-limit: rpm above 2650 up to 2900 rpm breaks the limit" in said
    assert ", was: error unguarded-limit: rpm above 2700 up to 2900 rpm breaks the limit" in said
    assert "new finding: error unguarded-limit" not in said
    assert "no longer found: error unguarded-limit" not in said
    Path("tiny-engine.profile").write_text(PROFILE.replace("at most 2700", "at most 3000"), encoding="utf-8")
    assert "no longer found: error unguarded-limit" in " ".join(run("affected", "tiny-engine.profile").output.split())
