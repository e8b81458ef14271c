"""Statements that cannot be read: one finding each, at its place, with the way out."""

from __future__ import annotations

import time

import pytest

from alertlang.findings.finding import Finding
from alertlang.syntax import tree as t
from alertlang.syntax.parse import parse
from alertlang.text.source import Source


def _findings(text: str) -> list[Finding]:
    return parse(Source("x", text))[1]


# What is written, where (line, column), what is underlined, what is said, what is advised.
SLIPS: list[tuple[str, tuple[int, int], str, str, str]] = [
    # misspelt words
    ("rpm abve 2550 is green", (1, 5), "abve", "did you mean above?", "expected a region"),
    ("rpm above 2550 is gren", (1, 19), "gren", "did you mean green?", "expected a colour"),
    ("rpm above 2550 is red with warnin", (1, 28), "warnin", "did you mean warning?", ""),
    ("quantiy rpm from 0 to 3500 rpm", (1, 1), "quantiy", "did you mean quantity?", ""),
    ("rpm above 5 rmp", (1, 13), "rmp", "neither a unit nor a word", "did you mean rpm?"),
    ("oil_temp above 9 gallons per hour is red", (1, 18), "gallons", "neither a unit", "did you mean gal?"),
    ("Rpm above 1 is Red", (1, 16), "Red", "in small letters: write red", ""),
    ('When rpm above 5 then warning "A"', (1, 1), "When", "in small letters: write when", ""),
    ("tot-green: rpm above 5 is green", (1, 1), "tot-green", "a label is made of", "write tot_green:"),
    ('rpm above 5 is red, with warning "A"', (1, 19), ",", "after `with`", "with warning"),
    ('rpm above 5 is yellow and caution "A"', (1, 23), "and", "after `with`", "with warning"),
    ('rpm above 5 is red, warning "A"', (1, 19), ",", "after `with`", "with warning"),
    ("rpm above 5 is red // A", (1, 20), "//", "a comment begins with `#`", "write #"),
    ("rpm above 5 is orange", (1, 16), "orange", "write `yellow`", ""),
    # words from elsewhere
    ("if running then rpm above 5 is red", (1, 1), "if", "write `when`", ""),
    ("rpm between 5 and 6 is red", (1, 5), "between", "write `from X to Y`", ""),
    ("rpm over 2750 is red", (1, 5), "over", "write `above`", ""),
    ("rpm at 5 is red", (1, 5), "at", "write `at least` or `at most`", ""),
    ("respond 2 s", (1, 1), "respond", "write `respond within`", ""),
    ("when rpm fails then warning", (1, 10), "fails", "write `failed`", ""),
    # words of the language as names
    ("condition red means rpm above 1", (1, 11), "red", "cannot be a name", "red_1"),
    ("condition at means rpm above 1", (1, 11), "at", "cannot be a name", "at_1"),
    ("quantity step from 0 to 1 rpm", (1, 10), "step", "cannot be a name", "step_1"),
    ('accept gap on red because "x"', (1, 15), "red", "cannot be a name", "red_1"),
    ("to 5", (1, 1), "to", "no statement starts with `to`", "indent"),
    ('rpm above 1 is red\nwith warning "A"', (2, 1), "with", "no statement starts with `with`", "indent"),
    # signs
    ("rpm above 1\tis red", (1, 12), "\t", "a tab", "spaces"),
    ('about "x"\n\trpm above 1 is red', (2, 1), "\t", "a tab", "spaces"),
    ("\trpm above 1 is red", (1, 2), "rpm above 1 is red", "there is none before it", "first column"),
    ("rpm above 1 is red with warning “A”", (1, 33), "“", "typographic quote", 'write "'),
    ("rpm above 1 is red with warning 'A'", (1, 33), "'", "single quote", 'write "'),
    ("rpm above \u22121 is red", (1, 11), "\u2212", "typographic minus", "write -"),
    ("rpm above 1 \u2013 2 is red", (1, 13), "\u2013", "a dash", "from X to Y"),
    ("rpm above 1 \u2014 2 is red", (1, 13), "\u2014", "a dash", "from X to Y"),
    ("rpm\u00a0above 1 is red", (1, 4), "\u00a0", "no-break space", "plain space"),
    ('about "x"\n\u00a0rpm above 1 is red', (2, 1), "\u00a0", "no-break space", "plain space"),
    ("rpm\u200b above 1 is red", (1, 4), "\u200b", "zero width space", "take it out"),
    ("rpm <= 5 is red", (1, 5), "<", "a sign (<)", "`at most`"),
    ("rpm ≥ 5 is red", (1, 5), "≥", "a sign (≥)", "`at least`"),
    ("rpm above 1 is red;", (1, 19), ";", "a semicolon", "take it out"),
    ("drehzähl above 1 is red", (1, 6), "ä", "the character ä", "lower case"),
    ("rpm above 1 is red\x0c", (1, 19), "\x0c", "U+000C", ""),
    ('about "a\tb"', (1, 9), "\t", "a tab cannot stand in a text", ""),
    ('about "a\x1b[31m"', (1, 9), "\x1b", "U+001B cannot stand in a text", ""),
    ('about "a\u202eb"', (1, 9), "\u202e", "U+202E cannot stand in a text", ""),
    # texts
    ('rpm above 1 is red with warning "A', (1, 33), '"A', "not closed", "double quotes"),
    ('about "A # no comment', (1, 7), '"A', "not closed", "double quotes"),
    ("rpm above 1 is red with warning OVERSPEED", (1, 33), "OVERSPEED", "expected a text in double quotes", ""),
    # indentation
    ("  rpm above 1 is red", (1, 3), "rpm above 1 is red", "there is none before it", "first column"),
    ('about "x"\n  rpm above 1 is red', (2, 3), "rpm", "does not continue the statement above", "first column"),
    # switch positions that carry the formula on
    ('when canopy is then warning "A"', (1, 16), "then", "position is missing", "canopy is open then"),
    ("when canopy is not and rpm above 5 then quiet", (1, 20), "and", "position is missing", "canopy is open and"),
    # numbers
    ("rpm above " + "9" * 10_000 + " is red", (1, 11), "9" * 10_000, "10000 characters", "as many digits"),
    ("rpm above -1." + "9" * 10_000 + " is red", (1, 12), "1." + "9" * 10_000, "10002 characters", ""),
    ("cht[" + "9" * 5_000 + "] above 1 is red", (1, 5), "9" * 5_000, "5000 characters", ""),
    ('rules "x" version ' + "9" * 5_000, (1, 19), "9" * 5_000, "5000 characters", ""),
    # ends
    ("rpm", (1, 1), "rpm", "ends too early: expected a region", ""),
    ("rpm above", (1, 5), "above", "ends too early: expected a number or a name", ""),
    ('use profile   # "osier"', (1, 5), "profile", "ends too early: expected a text", ""),
    ("condition cold means (rpm above 5", (1, 33), "5", "expected `)`", ""),
    ('about "x" "y"', (1, 11), '"y"', 'unexpected "y": expected the end', ""),
]


@pytest.mark.parametrize(("text", "place", "underlined", "message", "advice"), SLIPS, ids=[s[0][:40] for s in SLIPS])
def test_slip(text: str, place: tuple[int, int], underlined: str, message: str, advice: str) -> None:
    [found] = _findings(text)
    assert found.where is not None
    assert (found.where.line, found.where.column) == place
    assert found.where.text == underlined
    assert message in found.message
    assert advice in " ".join(found.advice)
    assert found.severity.word == "error"
    assert found.path == "x"


def test_every_mistake_is_found_not_only_the_first() -> None:
    text = 'rpm abve 1 is red\nabout "good"\nrpm above 2 is gren\nx\u00a0x\nabout "open\n'
    found = _findings(text)
    assert [f.where.line for f in found if f.where] == [1, 3, 4, 5]


def test_indented_lines_belong_to_the_statement_with_the_mistake() -> None:
    found = _findings('rpm abve 1\n  is red\n  with warning "A"\nabout "x"')
    assert [f.where.text for f in found if f.where] == ["abve"]


@pytest.mark.parametrize("opening", ["when ", "let x = "])
def test_deep_parentheses_work(opening: str) -> None:
    middle = "rpm above 1" if opening == "when " else "rpm"
    text = opening + "(" * 5_000 + middle + ")" * 5_000 + (' then warning "A"' if opening == "when " else "")
    tree, findings = parse(Source("x", text))
    assert findings == []
    assert len(tree.statements) == 1


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("when " + "not " * 5_000 + 'a then warning "A"', 6 + 4 * 100),
        ("when " + "(a or (b and " * 2_000 + "c" + "))" * 2_000 + ' then warning "A"', None),
        ("let x = " + " + ".join(["rpm"] * 5_000), 9),
        ("condition c means " + "(" * 3_000 + "a" + " for at least 1 s)" * 3_000, None),
    ],
)
def test_deep_nesting_is_a_clear_error(text: str, column: int | None) -> None:
    [found] = _findings(text)
    assert found.code.name == "bad-value"
    assert "nested more than 100 levels" in found.message
    assert found.where is not None
    assert column is None or found.where.column == column
    assert found.advice


def test_nesting_up_to_the_bound_is_read() -> None:
    assert _findings("when " + "not " * 100 + 'a then warning "A"') == []
    assert len(_findings("when " + "not " * 101 + 'a then warning "A"')) == 1


def test_unclosed_parentheses_by_the_thousand_are_one_finding() -> None:
    assert len(_findings("when " + "(" * 5_000 + 'a then warning "A"')) == 1


def test_many_parts_side_by_side_are_no_nesting() -> None:
    tree, findings = parse(Source("x", "condition c means " + " and ".join(["a"] * 5_000)))
    assert findings == []
    [condition] = tree.statements
    assert isinstance(condition, t.ConditionStatement)
    assert isinstance(condition.formula, t.AndNode)
    assert len(condition.formula.parts) == 5_000


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("rpm abve 2 is red\n" * 2_000, 2_000),
        ("<" * 300_000, 1),
        ('"' * 300_001, 1),
        ("x" * 1_000_000, 1),
        ("# " + "x" * 3_000_000, 0),
        ('about "' + "x" * 3_000_000 + '"', 0),
    ],
    ids=["2000 mistakes", "signs", "quotes", "long line", "long comment", "long text"],
)
def test_large_texts_take_no_time(text: str, count: int) -> None:
    _findings("rpm abve 2 is red")  # builds the grammar
    start = time.process_time()
    found = _findings(text)
    # A few times what it takes, far below what anything quadratic would.
    assert time.process_time() - start < 5
    assert len(found) == count


def test_mistakes_side_by_side_do_not_change_each_other() -> None:
    texts = [text for text, *_ in SLIPS if "\n" not in text and not text.startswith((" ", "\t"))]
    together = _findings("\n".join(texts))
    assert [f.message for f in together] == [_findings(text)[0].message for text in texts]


# ---- what a broken statement would have declared


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("quantity rpm form 0 to 1 rpm", {"rpm"}),
        ("quantiy rpm from 0 to 1 rpm", {"rpm"}),
        ("Quantity rpm from 0 to 1 rpm", {"rpm"}),
        ("\tquantity rpm from 0 to 1 rpm", {"rpm"}),
        ("switch flaps", {"flaps"}),
        ("conditon cold means rpm above 1", {"cold"}),
        ("let x", {"x"}),
        ("curve c over rpm", {"c"}),
        ("source TCDS", {"TCDS"}),
        ("hot : rpm abve 1 is red", {"hot"}),
        ("replace hot: rpm abve 1 is red", {"hot"}),
        ('about "x"\n  quantity rpm from 0 to 1 rpm', {"rpm"}),
        ("when cold thn rpm above 1 is red", set()),
        ("rpm abve 1 is red", set()),
        ("quantity rpm from 0 to 1 rpm", set()),
    ],
)
def test_names_lost(text: str, names: set[str]) -> None:
    assert parse(Source("x", text))[0].lost == names


def test_stretches_that_could_not_be_read_are_kept_in_order() -> None:
    tree, _ = parse(Source("x", 'rpm abve 1\n  is red\nabout "x"\nrpm above \u22121 is red # why\n'))
    assert [span.text for span in tree.broken] == ["rpm abve 1\n  is red", "rpm above \u22121 is red"]
    assert len(tree.statements) == 1
