"""`--follow`: the published rules that hold are stated, and of every other one why not."""

from __future__ import annotations

import pytest

from alertlang.api import draft, loads
from alertlang.drafting.style import Style

STYLE = Style(follow=True)
AIRCRAFT = ("continental-io-550-n", "beechcraft-v35b", "electrical-28v", "fuel-two-tanks")


@pytest.mark.alike
@pytest.mark.parametrize("profiles", [("austro-ae300",), ("beechcraft-v35b",), AIRCRAFT], ids=" ".join)
def test_what_is_followed_holds_and_what_is_not_does_not(profiles: tuple[str, ...]) -> None:
    made = draft(profiles, style=STYLE)
    assert made.findings == ()
    loose = " ".join(made.text.replace("\n#   ", " ").split())
    rules = loads(made.text)
    assert rules.model.follows
    for line in made.text.splitlines():
        if not line.startswith("# Not followed: "):
            continue
        rule = line.removeprefix("# Not followed: ").split(": ")[0]
        report = loads(made.text + f'follow "{rule}"\n').check()
        assert any(f.severity.word == "error" for f in report.findings), rule
    assert "# Not followed: 14 CFR 91.205(b)(" in loose


def test_the_arcs_are_followed_where_there_is_an_airspeed() -> None:
    stated = {one.rule for one in loads(draft(("beechcraft-v35b",), style=STYLE).text).model.follows}
    # All of it where the profile says at which weight the arcs are.
    assert {"14 CFR 23.1545", "14 CFR 23.1545(b)(1)"} & stated
    stated = {one.rule for one in loads(draft(("austro-ae300",), style=STYLE).text).model.follows}
    assert not any(rule.startswith("14 CFR 23.1545") for rule in stated)


def test_without_it_nothing_is_followed() -> None:
    assert loads(draft(("beechcraft-v35b",)).text).model.follows == ()
