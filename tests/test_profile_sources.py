"""`sources.toml` against the shipped profiles, both ways, and what `profiles` prints of it."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest
from typer.testing import CliRunner

from alertlang.api import Rules, load, loads, profile_sheet
from alertlang.cli.app import app
from alertlang.model.files import shipped_profiles
from alertlang.model.grades import GRADES
from alertlang.model.sources import OUTCOMES, SourceComparison, comparisons_of, count_of, searched, sources

MODELS = {name: load(path).model for name, path in shipped_profiles().items()}
DOCUMENTS, COMPARISONS = sources()
LINES = {f"{name}/{source.name}": source.status for name, model in MODELS.items() for _, source in model.sources}
# Words of which a title has one where somebody else than the document speaks.
SECOND_HAND = re.compile(r"cards|slides|file|cop(y|ies)|upload|translation|article|course|reprint|quot|forum|report")


def shown(*words: str) -> str:
    result = CliRunner().invoke(app, ["profiles", *words])
    assert result.exit_code == 0, result.output
    return result.stdout


def test_every_source_line_stands_in_the_table_once_and_no_other_does() -> None:
    assert Counter(line for one in DOCUMENTS for line in one.cited_as) == dict.fromkeys(LINES, 1)


def test_the_grade_is_that_of_the_profile() -> None:
    for one in DOCUMENTS:
        assert one.grade in GRADES
        assert {LINES[line] for line in one.cited_as} == {one.grade}, one.title


def test_second_hand_is_never_told_as_a_document() -> None:
    for one in DOCUMENTS:
        assert bool(SECOND_HAND.search(one.title)) == (one.grade == "second hand"), one.title
    texts = {f"{name}/{s.name}": s.text or "" for name, model in MODELS.items() for _, s in model.sources}
    for line, grade in LINES.items():
        if grade == "document":
            assert not SECOND_HAND.search(texts[line]), line


def test_what_was_read_says_where_and_what_was_not_says_nowhere() -> None:
    for one in DOCUMENTS:
        assert bool(one.read_at) == (one.grade in {"document", "second hand"}), one.title
        assert one.read_on is None or one.read_at


def test_a_title_or_its_edition_is_what_the_profile_says() -> None:
    """Each word of a number in the profile's line stands in the table too."""
    texts = {f"{name}/{s.name}": s.text or "" for name, model in MODELS.items() for _, s in model.sources}
    for one in DOCUMENTS:
        told = f"{one.title} {one.edition} {one.page}"
        for line in one.cited_as if one.grade in {"document", "second hand"} else ():
            for word in re.findall(r"[\w.-]*\d[\w.-]*", texts[line]):
                assert word.strip(".(") in told, (line, word)


@pytest.mark.parametrize("one", COMPARISONS, ids=lambda one: f"{one.profile} {one.outcome}")
def test_what_was_compared_stands_in_the_profile(one: SourceComparison) -> None:
    assert one.outcome in OUTCOMES
    assert one.numbers
    assert one.standing(MODELS[one.profile]) == [(label, n) for label, some in one.numbers.items() for n in some]
    # What disagrees can be the other source of the same profile.
    assert one.read_at or one.outcome == "disagrees" or re.search(r"page \d", one.document)


def test_a_number_inside_another_or_in_a_quotation_is_not_that_number() -> None:
    one = SourceComparison("x", "y", "agrees", {"l": ("5 C",), "k": ("20 s",)})
    text = 'profile "x" version 1\nsource S common practice\nquantity t from 0 to 99 C, source S\n'
    text += 'l: limit t at most 15 C, source S\nk: limit t at most 20 C, source S "20 s"\n'
    assert one.standing(loads(text).model) == []
    assert one.standing(loads(text.replace("15 C", "5 C").replace("20 C,", "20 C except for 20 s,")).model) == [
        ("l", "5 C"),
        ("k", "20 s"),
    ]


def test_where_nothing_was_found_nothing_is_compared() -> None:
    names = {name for name, model in MODELS.items() if searched(model)}
    assert names >= {"beechcraft-v35b", "continental-tsio-520-ub"}
    assert not names & {one.profile for one in COMPARISONS}
    page = " ".join(shown("show", "beechcraft-v35b").split())
    assert "; no other document was found to compare with (looked for on 2026-11-30)." in page


def test_what_disagrees_is_said_in_the_profile() -> None:
    for one in COMPARISONS:
        if one.outcome == "disagrees":
            assert "disagree" in shipped_profiles()[one.profile].read_text() or one.profile == "continental-io-520-b"


def test_of_a_profile_that_is_not_the_shipped_one_nothing_is_told(tmp_path: Path) -> None:
    """A copy that was changed bears the name, and nobody read its numbers where those of the shipped one were read."""
    name = "pratt-whitney-canada-pt6a-114a"
    path = tmp_path / f"{name}.profile"
    path.write_bytes(shipped_profiles()[name].read_bytes())
    assert count_of(load(path).model, "agrees") == count_of(MODELS[name], "agrees") == 4
    path.write_text(path.read_text(encoding="utf-8").replace("at most 805 C", "at most 810 C"), encoding="utf-8")
    changed = load(path)
    assert comparisons_of(changed.model) == []
    sheet = profile_sheet(changed)
    assert (sheet.confirmed, sheet.in_conflict, sheet.searched) == (0, 0, None)
    assert not any("[read" in source for source in sheet.sources)
    assert comparisons_of(loads('profile "none" version 1\nquantity rpm from 0 to 9 rpm\n').model) == []


def test_list_and_show_print_the_counts() -> None:
    name = "pratt-whitney-canada-pt6a-114a"
    sheet = profile_sheet(Rules(MODELS[name]))
    assert (sheet.confirmed, sheet.in_conflict) == (4, 1)
    listed = shown("list").splitlines()
    at = next(i for i, line in enumerate(listed) if f" {name} " in line)
    assert listed[at].split()[2:] == [f"{sheet.numbers[grade]}{letter}" for grade, letter in zip(
        ("document", "second hand", "common practice", "from memory"), "dscm", strict=True
    )]  # fmt: skip
    assert "4 confirmed by another document, 1 in conflict with another document" in " ".join(listed[at : at + 4])
    page = " ".join(shown("show", name).split())
    assert "28 numbers: 10 second hand, 18 common practice; 4 confirmed by another document, 1 in conflict" in page
    assert "[read on 2026-11-29: a file in a public repository]" in page
    assert "Confirmed by another document itt_limit 805 C" in page
    assert "In conflict with another document; both are told in the profile itt_high 740" in page
    told = json.loads(shown("show", name, "--output", "json"))
    assert told["numbers"]["confirmed"] == 4
    assert {one["outcome"] for one in told["comparisons"]} == {"agrees", "supports", "disagrees"}
