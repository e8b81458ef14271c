"""What a file of rules may change of the files it uses."""

from __future__ import annotations

from fractions import Fraction

import pytest

from alertlang.findings.codes import Severity
from alertlang.model.load import Loaded
from tests.model.conftest import Load

BASE = 'rules "base" version 1\nuse profile "osier"\nhot: rpm above 10 is red\nmild: rpm below 9 is green\n'
MIDDLE = 'rules "middle" version 1\nuse rules "base"\nown: rpm above 5 is yellow\n'


def _on_base(load: Load, text: str) -> Loaded:
    return load({"base.alert": BASE, "t.alert": f'rules "t" version 1\nuse rules "base"\n{text}\n'})


def _bounds(loaded: Loaded) -> dict[str, Fraction]:
    assert [f.message for f in loaded.findings] == []
    return _firsts(loaded)


def _firsts(loaded: Loaded) -> dict[str, Fraction]:
    assert loaded.ruleset is not None
    return {band.label: band.region.numbers[0] for band in loaded.ruleset.bands}


def test_replace_and_drop(load: Load) -> None:
    loaded = _on_base(load, 'replace hot: rpm above 11 is red\ndrop mild because "not wanted"')
    assert _bounds(loaded) == {"hot": 11}
    assert loaded.ruleset is not None
    assert loaded.ruleset.drops == (("mild", "not wanted"),)
    assert loaded.ruleset.bands[0].span.source.path == "t.alert"


def test_replace_and_drop_across_two_levels(load: Load) -> None:
    top = 'rules "t" version 1\nuse rules "middle"\nreplace hot: rpm above 12 is red\ndrop mild because "x"\n'
    assert _bounds(load({"base.alert": BASE, "middle.alert": MIDDLE, "t.alert": top})) == {"hot": 12, "own": 5}
    twice = MIDDLE + "replace hot: rpm above 11 is red\n"
    assert _bounds(load({"base.alert": BASE, "middle.alert": twice, "t.alert": top})) == {"hot": 12, "own": 5}


def test_derived_label_of_a_base_can_be_changed(load: Load) -> None:
    base = BASE.replace("mild: ", "")
    top = 'rules "t" version 1\nuse rules "base"\nreplace rpm_1: rpm below 8 is green\nrpm below 2 is blue\n'
    assert _bounds(load({"base.alert": base, "t.alert": top})) == {"hot": 10, "rpm_1": 8, "rpm_2": 2}


def test_a_dropped_label_is_free_again(load: Load) -> None:
    assert _bounds(_on_base(load, 'drop hot because "x"\nhot: rpm above 13 is red')) == {"mild": 9, "hot": 13}


@pytest.mark.parametrize(
    ("text", "underlined", "message", "advice"),
    [
        ("replace hott: rpm above 1 is red", "hott", "no inherited statement is labelled hott", "did you mean hot?"),
        ('drop zzz because "x"', "zzz", "no inherited statement is labelled zzz", "`use rules` brings in"),
        ("replace redline: rpm above 1 is red", "redline", "statement of the profile osier", "accept the finding"),
        ('drop redline because "x"', "redline", "rules cannot change a profile", "accept the finding"),
        (
            'drop hot because "x"\nreplace hot: rpm above 2 is red',
            "hot",
            "dropped already, in t.alert line 3",
            "take one",
        ),
        ('drop hot because "x"\ndrop hot because "y"', "hot", "dropped already, in t.alert line 3", "take one"),
        (
            "replace hot: rpm above 2 is red\nreplace hot: rpm above 3 is red",
            "hot",
            "hot is replaced already, in t.alert line 3",
            "take one of the two out",
        ),
        ('replace hot: rpm above 2 is red\ndrop hot because "x"', "hot", "replaced already, in t.alert line 3", "take"),
        ('drop hot because " "', '" "', "the reason is empty", "say why"),
    ],
)
def test_impossible_changes(load: Load, text: str, underlined: str, message: str, advice: str) -> None:
    loaded = _on_base(load, text)
    [found] = loaded.findings
    assert found.where is not None
    assert (found.path, found.where.text) == ("t.alert", underlined)
    assert found.where.line == 2 + len(text.split("\n"))
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert loaded.ruleset is None


@pytest.mark.parametrize(
    ("text", "bounds"),
    [
        ("own: rpm above 1 is red\nreplace own: rpm above 2 is red", {"own": 2}),
        ('own: rpm above 1 is red\ndrop own because "x"', {}),
    ],
)
def test_a_change_of_a_statement_of_the_same_file_is_done_and_told(
    load: Load, text: str, bounds: dict[str, int]
) -> None:
    loaded = _on_base(load, text)
    [found] = loaded.findings
    assert (found.code.code, found.severity) == ("AL114", Severity.WARNING)
    assert "own is a statement of this file (line 3), not an inherited one" in found.message
    assert found.advice == ("change the statement itself",)
    assert _firsts(loaded) == {"mild": 9, "hot": 10, **bounds}


def test_label_of_an_inherited_statement_is_taken(load: Load) -> None:
    [found] = _on_base(load, "hot: rpm above 1 is red").findings
    assert found.code.code == "AL106"
    assert "taken already, in base.alert line 3" in found.message
    assert found.advice == ("to change the inherited statement write: replace hot: ...",)
    [found] = _on_base(load, "redline: rpm above 1 is red").findings
    assert found.advice == ("choose another label",)


def test_only_what_is_inherited_can_be_changed(load: Load) -> None:
    """Two files side by side change one statement of their common base: whose change counts would be chance."""
    files = {"base.alert": BASE}
    for name, number in (("a", 11), ("b", 12)):
        change = f"replace hot: rpm above {number} is red"
        files[f"{name}.alert"] = f'rules "{name}" version 1\nuse rules "base"\n{change}\n'
    files["t.alert"] = 'rules "t" version 1\nuse rules "a"\nuse rules "b"\n'
    [found] = load(files).findings
    assert (found.code.code, found.path) == ("AL114", "b.alert")
    assert "hot comes from a.alert line 3, which this file does not use" in found.message


def test_broken_replacement_is_one_finding(load: Load) -> None:
    loaded = _on_base(load, 'replace hot: rpm abve 1 is red\naccept gap on hot because "x"')
    assert [f.code.code for f in loaded.findings] == ["AL102"]


def test_statement_lost_in_the_base_is_not_missed_again(load: Load) -> None:
    base = BASE.replace("hot: rpm above", "hot: rpm abve")
    loaded = load(
        {"base.alert": base, "t.alert": 'rules "t" version 1\nuse rules "base"\nreplace hot: rpm above 1 is red\n'}
    )
    assert [(f.code.code, f.path) for f in loaded.findings] == [("AL102", "base.alert")]
