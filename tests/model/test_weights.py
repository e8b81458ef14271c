"""What a profile says of weights, and every way to say it wrongly."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from alertlang import api
from alertlang.api import loads, profile_sheet
from alertlang.format.canonical import canonical_bytes
from alertlang.model.grades import numbers_by_grade
from alertlang.model.load import Loaded
from alertlang.output.profile import sheet_lines

Rules = Callable[[str], Loaded]
HEAD = 'profile "t" version 1\nsource S common practice\n'


@pytest.mark.parametrize(
    ("text", "maximum", "arcs"),
    [
        ("maximum weight 1310 kg, arcs at 1200 kg, source S", ("1310 kg", 1310), ("1200 kg", 1200)),
        ("arcs at 1200.5 kg, maximum weight 1310 kg, source S", ("1310 kg", 1310), ("1200.5 kg", Fraction(2401, 2))),
        ("maximum weight 1310 kg, source S", ("1310 kg", 1310), None),
        # More pounds than kilograms, and less weight.
        ("maximum weight 5 kg, arcs at 8 lb, source S", ("5 kg", 5), ("8 lb", Fraction(45359237, 12_500_000))),
        ("arcs at 3400 lb, source S", None, ("3400 lb", 3400 * Fraction(45359237, 100_000_000))),
        ("maximum weight 1310 kg, source S\narcs at 1310 kg, source S", ("1310 kg", 1310), ("1310 kg", 1310)),
        ("maximum weight # of the type\n  1310 kg, arcs at # and\n  9 kg, source S", ("1310 kg", 1310), ("9 kg", 9)),
    ],
)
def test_weights(
    profile: Rules, text: str, maximum: tuple[str, object] | None, arcs: tuple[str, object] | None
) -> None:
    loaded = profile(text)
    assert [f.message for f in loaded.findings] == []
    model = loaded.ruleset
    assert model is not None
    said = [one and (one.in_words, one.in_kilograms) for one in (model.maximum_weight, model.arc_weight)]
    assert said == [maximum, arcs]


SLIPS = [
    (
        "maximum weight 1310, source S",
        "AL105",
        "1310",
        "the maximum weight is a mass in kg or lb, and 1310 has no unit",
    ),
    ("arcs at 1310 rpm, source S", "AL105", "1310 rpm", "the weight of the arcs is a mass in kg or lb"),
    ("maximum weight 1310 kgs, source S", "AL110", "kgs", "did you mean kg?"),
    ("maximum weight 0 kg, source S", "AL112", "0 kg", "must be more than 0"),
    ("maximum weight -1 kg, source S", "AL112", "-1 kg", "must be more than 0"),
    ("arcs at -1 kg, source S", "AL112", "-1 kg", "the weight of the arcs must be more than 0"),
    ("arcs at 5 kg, arcs at 6 kg, source S", "AL112", "6 kg", "said twice in one statement"),
    (
        "arcs at 5 kg, source S\narcs at 5 kg, source S",
        "AL112",
        "5 kg",
        "the weight of the arcs is said twice, in line 3",
    ),
    ("maximum weight 5 kg, arcs at 6 kg, source S", "AL112", "6 kg", "which is above the maximum weight, 5 kg"),
    ("maximum weight 5 kg, source S\narcs at 12 lb, source S", "AL112", "12 lb", "above the maximum weight, 5 kg"),
    ("maximum weight 12 lb, arcs at 6 kg, source S", "AL112", "6 kg", "above the maximum weight, 12 lb"),
    ("arcs at 12 lb, source S\nmaximum weight 5 kg, source S", "AL112", "12 lb", "above the maximum weight, 5 kg"),
    ("arcs at 12 lb", "AL111", "arcs at 12 lb", "do not say where their numbers come from"),
    ("arcs at 12 lb, source NONE", "AL104", "NONE", "no source NONE is declared"),
    ("maximum weight of 1310 kg", "AL102", "of", "the weight itself stands after `maximum weight`"),
    ("maximum weight 1310 kg, arcs 1200 kg", "AL102", "arcs", "write `arcs at`"),
]


@pytest.mark.parametrize(("text", "code", "underlined", "message"), SLIPS, ids=[s[0] for s in SLIPS])
def test_slip(profile: Rules, text: str, code: str, underlined: str, message: str) -> None:
    [found] = profile(text).findings
    assert found.code.code == code
    assert found.where is not None
    assert found.where.text == underlined
    assert message in " ".join((found.message, *found.advice))
    assert found.advice or "write" in found.message


def test_two_files_may_say_the_same_and_no_two_things(load: Callable[..., Loaded]) -> None:
    airframe = HEAD.replace('"t"', '"air"') + "maximum weight 1310 kg, source S\n"
    top = 'rules "top" version 1\nuse profile "air"\nsource S common practice\n'
    for said, count in (("maximum weight 1310 kg", 0), ("arcs at 1200 kg", 0), ("maximum weight 1300 kg", 1)):
        loaded = load({"air.profile": airframe, "top.alert": f"{top}{said}, source S\n"})
        assert len(loaded.findings) == count
        if count:
            assert (
                "is said differently in air.profile line 3: 1310 kg there, 1300 kg here" in loaded.findings[0].message
            )
    # What the rules say of the arcs is held against what the profile says of the aircraft.
    [found] = load({"air.profile": airframe, "top.alert": f"{top}arcs at 1320 kg, source S\n"}).findings
    assert "above the maximum weight, 1310 kg" in found.message


def test_they_are_in_the_sheet_the_digest_and_the_count_of_numbers() -> None:
    text = f'{HEAD}source D "page"\nmaximum weight 1310 kg, arcs at 1200 kg, source D\n'
    model = loads(text).model
    sheet = profile_sheet(api.Rules(model))
    [entry] = [one for one in sheet.entries if one.kind == "weight"]
    assert (entry.text, entry.status) == ("maximum weight 1310 kg, arcs at 1200 kg, source D", "document")
    assert "maximum weight 1310 kg" in sheet.to_json()
    assert any("maximum weight 1310 kg" in part for line in sheet_lines(sheet, 100) for _, part in line)
    assert numbers_by_grade(model)["document"] == 2
    digests = {
        canonical_bytes(one.encode()) for one in (text, text.replace("1200", "1310"), text.replace("1310", "1320"))
    }
    assert len(digests) == 3
    dated = [text + f'follow "27.1549"{day}\n' for day in ("", " as of 2001-05-10", " as of 2001-05-11")]
    assert len({canonical_bytes(one.encode()) for one in dated}) == 3


@pytest.mark.parametrize("name", ["maximum", "arcs", "weight", "of_1", "as_1"])
def test_their_words_are_no_words_of_the_language(name: str) -> None:
    text = (
        f'rules "t" version 1\nquantity {name} from 0 to 100 kg\ncondition much means {name} at least 50\n'
        f"{name} at most 50 kg is green\n{name} at or above 50 is yellow\n"
        f'{name}: when {name} above 90 then caution "MUCH"\n'
    )
    assert [f.message for f in loads(text).check().findings if f.severity.word == "error"] == []
