"""What is part of the language and not of the checks, yet: said at its place, never passed over.

Only one kind of file is left. Every word of a statement comes to something: see `test_timed` and `test_derived`.
"""

from __future__ import annotations

import pytest

from alertlang.model.load import Loaded
from tests.model.conftest import Load

HEADER = 'display "small-panel" version 1'


def _only(loaded: Loaded) -> tuple[str, str]:
    [found] = loaded.findings
    assert found.where is not None
    assert found.advice
    assert loaded.ruleset is None
    assert loaded.origin is None
    return found.code.name, found.where.text


@pytest.mark.parametrize("name", ["small-panel.display", "small-panel.alert", "small-panel.profile"])
def test_a_display_is_refused_by_its_header_whatever_the_file_is_called(load: Load, name: str) -> None:
    loaded = load({name: f"# A comment.\n\n{HEADER}\n"})
    assert _only(loaded) == ("not-supported-yet", HEADER)
    assert "not supported yet" in loaded.findings[0].message


def test_nothing_that_stands_in_it_is_checked(load: Load) -> None:
    loaded = load({"d.display": f"{HEADER}\nquantity rpm from 0 to 10 rpm\nrpm above 99 psi is red\n"})
    assert _only(loaded) == ("not-supported-yet", HEADER)


def test_a_display_cannot_be_used_as_something_else(load: Load) -> None:
    files: dict[str, str | bytes] = {
        "d.profile": f"{HEADER}\n",
        "t.alert": 'rules "t" version 1\nuse profile "d"\nd_speed above 5 is red\n',
    }
    loaded = load(files)
    # The name that is not declared may be in the file that was not taken in.
    assert [(f.code.name, f.path) for f in loaded.findings] == [("not-supported-yet", "d.profile")]
    assert loaded.ruleset is None


def test_a_display_beside_the_rules_is_never_taken_for_one_of_them(load: Load) -> None:
    loaded = load({"d.display": f"{HEADER}\n", "t.alert": 'rules "t" version 1\nuse rules "d"\n'})
    assert [f.code.name for f in loaded.findings] == ["missing-file"]
