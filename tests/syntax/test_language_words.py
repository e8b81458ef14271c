"""The words of the language and of the trade, as LANGUAGE.md explains them.

Source: LANGUAGE.md and the grammar: every reserved word is explained, and what is shown stands on that page.
"""

from __future__ import annotations

import re
import tomllib

import pytest

from alertlang.findings.codes import BY_NAME
from alertlang.syntax.language import LOGS, MAP, TRADE, find_word, page_of, words
from alertlang.syntax.parse import reserved_words
from alertlang.text.resources import grammar_dir

TEXT = (grammar_dir() / "LANGUAGE.md").read_text(encoding="utf-8")
HEADINGS = re.findall(r"^#{2,4} (.+)$", TEXT, re.MULTILINE)
OF_THE_LANGUAGE = [name for name, word in words().items() if word.topic not in {"", TRADE, LOGS, MAP}]
OF_LOGS = [name for name, word in words().items() if word.topic in {LOGS, MAP}]
OF_THE_TRADE = [name for name, word in words().items() if word.topic == TRADE]
# What these are has no words of its own in a file.
IDEAS = {"state", "open truth", "sample"}


def parts(name: str) -> tuple[str, str]:
    """What is said of a word, and its example."""
    word = find_word(name)
    assert word is not None, name
    said, _, rest = page_of(word).partition("## Example")
    return said.partition("## More")[0].strip(), rest.partition("## More")[0].strip()


@pytest.mark.parametrize("name", sorted(reserved_words()))
def test_every_reserved_word_is_explained(name: str) -> None:
    said, example = parts(name)
    assert said
    assert example


@pytest.mark.parametrize("name", OF_THE_LANGUAGE)
def test_a_word_is_explained_in_the_words_of_the_page(name: str) -> None:
    said, example = parts(name)
    assert said
    page = " ".join(re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", TEXT).replace("**", "").split())
    for line in said.splitlines():
        # The cells of a row are told as an item.
        for piece in re.split(": |; ", re.sub(r"^(- |## )", "", line)):
            assert " ".join(piece.split()) in page
    if name in IDEAS:
        return
    assert example
    assert "\n".join(line.removeprefix("    ") for line in example.splitlines()) in TEXT


@pytest.mark.parametrize("name", OF_LOGS)
def test_a_word_of_logs_is_explained_in_the_words_of_their_page(name: str) -> None:
    word = find_word(name)
    assert word is not None
    said = page_of(word).partition("## More")[0]
    assert said.strip()

    def plain(text: str) -> str:
        return " ".join(re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", text).split())

    page = plain((grammar_dir() / "LOGS.md").read_text(encoding="utf-8"))
    # Blocks are set in, and the heading over what is told first is shorter than the page's.
    pieces = [piece for piece in re.split(r"\n{2,}", re.sub(r"^## .+$", "", said, flags=re.MULTILINE)) if piece.strip()]
    assert [piece for piece in pieces if plain(piece) not in page and not piece.startswith("    ")] == []


@pytest.mark.parametrize(
    "name",
    """until; except for; latched; deadband; within; in total; respond within; assume; as of; sequence A; sequence M;
    sequence R; for more than; for at least; set after; cleared after; amber; unless; over; means; per; otherwise;
    because; follow; needs; avoid; scan every; arcs at; raises; quiet; any; second hand; replace; drop; rules
    """.strip()
    .replace("\n   ", "")
    .split("; "),
)
def test_its_example_has_the_word(name: str) -> None:
    said, example = parts(name)
    assert re.search(rf"\b{name}\b", re.sub("#.*", "", example)), example
    assert name in said


def test_of_a_word_only_what_is_about_it_is_said() -> None:
    said, _ = parts("latched")
    assert "`latched`: once up, the alert stays until it is acknowledged" in said
    assert "in total" not in said
    said, _ = parts("sequence R")
    assert said.startswith("- `sequence R`: a new alert: flashes; acknowledged: steady; all alerts gone")
    assert said.count("\n") == 0


def test_a_word_of_two_meanings_has_both() -> None:
    said, _ = parts("until")
    assert "stays true until B" in said
    assert "the last day on which the exception counts" in said


@pytest.mark.parametrize(
    ("name", "told", "shown"),
    [
        ("hysteresis", "`deadband` for the bands of a quantity", "deadband 20 rpm"),
        ("debounce", "`set after` and `cleared after`", "set after 5 s"),
        ("counterexample", "a state that breaks a check or a claim", "prove rpm above 2680 rpm is red"),
        ("inhibit", "`unless` on the one statement", "unless not running"),
        ("time delay", "`for more than` and `after`", "for more than 5 s"),
    ],
)
def test_words_of_the_trade_lead_to_those_of_the_language(name: str, told: str, shown: str) -> None:
    said, example = parts(name)
    assert told in said
    assert shown in example


@pytest.mark.parametrize("name", OF_THE_TRADE)
def test_each_word_of_the_trade_has_an_example_and_names_its_sections(name: str) -> None:
    said, example = parts(name)
    assert said
    assert example
    word = find_word(name)
    assert word is not None
    for heading in re.findall(r'explain "([^"]+)"', page_of(word)):
        assert find_word(heading) is not None


def test_the_index_names_headings_that_there_are_and_no_check() -> None:
    index = tomllib.loads((grammar_dir() / "index.toml").read_text(encoding="utf-8"))
    named = [heading for headings in index.values() for heading in headings]
    assert [heading for heading in named if heading not in HEADINGS] == []
    # A gap is a check, and a pause in a log: the check is explained, LOGS.md tells the other.
    assert [name for name in words() if name.replace(" ", "-") in BY_NAME] == ["gap"]


def test_no_word_is_found_for_none() -> None:
    assert find_word("") is None
    assert find_word("untill") is None
