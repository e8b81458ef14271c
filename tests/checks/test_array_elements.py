"""Arrays whose elements are not all treated alike: what holds for the first says nothing of the others.

Source: the language reference. On an array each element is meant by itself, and a context may name one of them.
"""

from __future__ import annotations

import pytest

from alertlang.api import loads

HEAD = 'rules "case" version 1\nquantity cht[3] from 0 to 500 F, step 1 F\n'


def found(text: str) -> dict[str, list[tuple[str, ...]]]:
    names: dict[str, list[tuple[str, ...]]] = {}
    for finding in loads(HEAD + text).check().findings:
        names.setdefault(finding.code.name, []).append(finding.statements)
    return names


@pytest.mark.parametrize("quiet", [1, 2, 3])
def test_conflict_that_the_named_element_cannot_have(quiet: int) -> None:
    """The context keeps the element it names out of the overlap; the other two are in it."""
    said = found(
        f"hot: when cht[{quiet}] below 50 then cht from 100 to 200 is red\n"
        f"calm: when cht[{quiet}] below 50 then cht from 150 to 300 is green\n"
        "cht below 150 is yellow\ncht from 200 to 500 is yellow\n"
    )
    assert ("calm", "hot") in said["conflict"]


@pytest.mark.parametrize("quiet", [1, 2, 3])
def test_conflict_that_only_one_element_can_have(quiet: int) -> None:
    others = [index for index in (1, 2, 3) if index != quiet]
    apart = " and ".join(f"cht[{index}] below 50" for index in others)
    said = found(
        f"hot: when {apart} then cht from 100 to 200 is red\n"
        f"calm: when {apart} then cht from 150 to 300 is green\n"
        "cht from 0 to 500 is unmarked\n"
    )
    assert ("calm", "hot") in said["conflict"]


@pytest.mark.parametrize("quiet", [1, 2, 3])
def test_band_masked_for_some_elements_and_impossible_for_another(quiet: int) -> None:
    said = found(
        f"calm: when cht[{quiet}] below 50 then cht from 150 to 300 is green\n"
        "worse: cht from 150 to 500 is yellow\ncht below 150 is green\n"
    )
    assert ("calm", "worse") in said["unreachable-band"]
