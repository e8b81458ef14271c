"""What the canonical form looks like: words, spaces, lines and the places of comments."""

from __future__ import annotations

import pytest

from alertlang.format.text import format_text
from alertlang.text.source import Source


def formatted(text: str) -> str:
    result = format_text(Source("x", text))
    assert isinstance(result, str), result
    assert format_text(Source("x", result)) == result
    return result


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("rpm  above   2750rpm is amber", "rpm above 2750 rpm is yellow"),
        ("rpm at or below 2550 is white", "rpm at most 2550 is white"),
        ("rpm at  or\n above 2550 is white", "rpm at least 2550 is white"),
        ("prove rpm above 2 is at or above amber", "prove rpm above 2 is at least yellow"),
        # A position of a switch is a name, whatever it means elsewhere.
        ('when lamp is amber then caution "A"', 'when lamp is amber then caution "A"'),
        ("switch lamp off,amber , on", "switch lamp off, amber, on"),
        # One unit serves both ends; two different ones stay.
        ("rpm from 2000 rpm to 2150 rpm is blue", "rpm from 2000 to 2150 rpm is blue"),
        ("x outside -1 psi to - 2 bar is blue", "x outside -1 psi to -2 bar is blue"),
        ("x from 1 psi to 2 is blue", "x from 1 psi to 2 is blue"),
        ("x  failed is amber unless  any cht failed", "x failed is yellow unless any cht failed"),
        # How many digits a document gives is kept.
        ("normal oil_pressure from 2.50 to 6.0 bar", "normal oil_pressure from 2.50 to 6.0 bar"),
        ("when running then limit rpm at most 5", "when running limit rpm at most 5"),
        ("hot  : cht[ 2 ] above 5 % is red", "hot: cht[2] above 5 % is red"),
        ("replace  hot:rpm above 5 is red", "replace hot: rpm above 5 is red"),
        ("engine piston,air\n cooled", "engine piston, air cooled"),
        ('quantity cht [4]"Heads"from 0 to 5 gal/h', 'quantity cht[4] "Heads" from 0 to 5 gal/h'),
        ("let x=rpm/2-(spread of cht)*-1", "let x = rpm / 2 - spread of cht * -1"),
        ("curve c over rpm:1->2,3->4", "curve c over rpm: 1 -> 2, 3 -> 4"),
        ('accept thin-band on x because "y" until 2027-06-30', 'accept thin-band on x because "y" until 2027-06-30'),
        ('profile "a  b" version 1', 'profile "a  b" version 1'),
        # Clauses stay in the order they were written in.
        ("x above 1 is red unless a latched after 1 s", "x above 1 is red unless a latched after 1 s"),
        ("limit x at most 1, source S, needs caution", "limit x at most 1, source S, needs caution"),
        ("quantity x from 0 to 1, source S, step 1", "quantity x from 0 to 1, source S, step 1"),
    ],
)
def test_words_and_spaces(written: str, canonical: str) -> None:
    assert formatted(written) == canonical + "\n"


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("(a)", "a"),
        ("((a or b)) and ((c))", "(a or b) and c"),
        ("(a and b) or (c and d)", "a and b or c and d"),
        # These are not the same trees.
        ("(a and b) and c", "(a and b) and c"),
        ("a or (b or c)", "a or (b or c)"),
        ("not (a)", "not a"),
        ("not (not a) and (not b)", "not not a and not b"),
        ("not (a and b)", "not (a and b)"),
        ("not (a for at least 5 s)", "not (a for at least 5 s)"),
        ("(not a) for at least 5 s", "(not a) for at least 5 s"),
        ("(a for less than 5 s) and (b)", "a for less than 5 s and b"),
        ("(a for less than 5 s) for at least 1 s", "(a for less than 5 s) for at least 1 s"),
        ("(a or b) for at least 5 s", "(a or b) for at least 5 s"),
        ("(any cht above 5) for at least 5 s", "any cht above 5 for at least 5 s"),
    ],
)
def test_parentheses_in_formulas(written: str, canonical: str) -> None:
    assert formatted(f"condition c means {written}") == f"condition c means {canonical}\n"


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("(a + b) + c", "a + b + c"),
        ("a + (b + c)", "a + (b + c)"),
        ("a - (b - c)", "a - (b - c)"),
        ("(a * b) - (c / d)", "a * b - c / d"),
        ("(a + b) * c", "(a + b) * c"),
        ("a / (b * c)", "a / (b * c)"),
        ("(a / b) * c", "a / b * c"),
        ("(-1) - (-2)", "-1 - -2"),
    ],
)
def test_parentheses_in_expressions(written: str, canonical: str) -> None:
    assert formatted(f"let x = {written}") == f"let x = {canonical}\n"


def test_blank_lines() -> None:
    assert formatted('\n\n# top\nabout "a"\n\n \n\nabout "b"\nrespond\n\n  within 5\n\n s\n# end\n\n\n') == (
        '# top\nabout "a"\n\nabout "b"\nrespond within 5 s\n# end\n'
    )


def test_nothing_and_no_line_ending() -> None:
    assert formatted("") == ""
    assert formatted("\n \n") == ""
    assert formatted("# c") == "# c\n"
    assert formatted('about "a"') == 'about "a"\n'


# ---- lines


def test_breaks_inside_a_clause_are_not_kept() -> None:
    assert formatted("rpm\n above\n 5\n rpm is\n red\n") == "rpm above 5 rpm is red\n"


def test_breaks_between_clauses_are_kept() -> None:
    text = 'condition running means rpm above 400 rpm,\n  source TRADE "above cranking speed"\n'
    assert formatted(text) == text
    assert formatted(text.replace("  source", "       source")) == text
    table = "curve c over rpm:\n  1 -> 2,\n  3 -> 4,\n  otherwise 5\n"
    assert formatted(table) == table


def test_breaks_beside_a_word_between_clauses_move_to_its_other_side() -> None:
    assert formatted('when a and\n b\n then x above 1 is red\n  with caution "A"') == (
        'when a\n  and b then\n  x above 1 is red\n  with caution "A"\n'
    )
    assert formatted("limit x at most 1\n , needs caution") == "limit x at most 1,\n  needs caution\n"


def test_long_statements_are_broken_between_clauses() -> None:
    assert formatted(
        "long_band: when oil_temp below 120 F and not canopy is open then rpm above 2000 rpm for more than 30 s is red "
        'with caution "ENGINE COLD" after 1 s latched unless running for less than 30 s and cold'
    ) == (
        "long_band: when oil_temp below 120 F and not canopy is open then rpm above 2000 rpm for more than 30 s is red"
        "\n"
        '  with caution "ENGINE COLD" after 1 s latched unless running for less than 30 s and cold\n'
    )


def test_what_is_inside_parentheses_is_broken_last_and_stands_further_in() -> None:
    assert formatted(
        "condition c means every cht from 360 to 420 F and (flaps is up or flaps is takeoff and canopy is open or "
        "flaps is landing and canopy is closed or running for at least 30 s) until rpm below 5 rpm, set after 5 s"
    ) == (
        "condition c means every cht from 360 to 420 F\n"
        "  and (flaps is up or flaps is takeoff and canopy is open or flaps is landing and canopy is closed\n"
        "    or running for at least 30 s)\n"
        "  until rpm below 5 rpm, set after 5 s\n"
    )


def test_what_follows_a_broken_clause_stands_on_its_own_line() -> None:
    assert formatted("when a\n  and b limit x at most 1, needs caution") == (
        "when a\n  and b\n  limit x at most 1, needs caution\n"
    )


def test_a_text_that_is_too_long_gets_its_own_line() -> None:
    text = "x" * 120
    assert formatted(f'source S "{text}"') == f'source S\n  "{text}"\n'


# ---- comments


def test_comments_between_statements() -> None:
    assert formatted(
        'about "a"    # beside\n# whole\n  # indented after a whole one\nabout "b"\n   # of b\n\n   # alone\nabout "c"'
    ) == ('about "a"  # beside\n# whole\n# indented after a whole one\nabout "b"\n  # of b\n\n# alone\nabout "c"\n')


def test_comments_inside_a_statement() -> None:
    assert formatted(
        "cold: when oil_temp below 75 F then\n# the top of the ground idle range\n     rpm above 1200 rpm is red "
        '# beside\n\n\n  # own\n  with caution\n  "COLD #1" # end'
    ) == (
        "cold: when oil_temp below 75 F then\n  # the top of the ground idle range\n"
        "  rpm above 1200 rpm is red  # beside\n"
        '  # own\n  with caution "COLD #1"  # end\n'
    )


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("limit x at most 1 # a\n , # b\n needs caution", "limit x at most 1,  # a\n  # b\n  needs caution"),
        ("x above - # a\n 5 # b\n F # c\n is red", "x above -5 F  # a\n  # b\n  # c\n  is red"),
        ("cht # a\n [ # b\n 2 ] above 1 is red", "cht[2]  # a\n  # b\n  above 1 is red"),
        (
            "condition c means a and ( # a\n b # b\n or c # c\n )",
            "condition c means a and  # a\n  (b  # b\n    or c)  # c",
        ),
        ("let x = ( # a\n rpm # b\n ) # c", "let x =  # a\n  rpm  # b\n  # c"),
        ("when a # a\n then # b\n limit x at most 1", "when a  # a\n  # b\n  limit x at most 1"),
        ("x from 1 # a\n F # b\n to 2 F is red", "x from 1  # a\n  # b\n  to 2 F is red"),
        ("x above 5 # a\n F is red", "x above 5 F  # a\n  is red"),
        ("respond within 5 # a\n s", "respond within 5 s  # a"),
        ("respond within 5\n # a\n s", "respond within 5 s\n  # a"),
        ("x above # a\n 5 is red", "x above  # a\n  5 is red"),
    ],
)
def test_comments_where_nothing_can_be_parted(written: str, canonical: str) -> None:
    assert formatted(written) == canonical + "\n"


def test_comments_do_not_count_for_the_length_of_a_line() -> None:
    text = f"rpm above 5 is red  # {'x' * 150}\n"
    assert formatted(text) == text
