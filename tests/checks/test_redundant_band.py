"""redundant-band: what is redundant by its colour may be needed for its alert."""

from __future__ import annotations

import pytest

from alertlang.checks import redundant_band
from tests.helpers.one_check import found

BANDS = """\
quantity rpm from 0 to 3000 rpm, step 10 rpm
loud: rpm from 2500 to 2700 rpm is red with warning "FAST"
plain: rpm above 2400 rpm is red
other: rpm above SPEED rpm is red with warning "FAST"
"""


@pytest.mark.parametrize(("speed", "redundant"), [(2490, ["loud"]), (2500, []), (2600, [])])
def test_a_band_with_an_alert_needs_both_told_elsewhere(speed: int, redundant: list[str]) -> None:
    findings = found(redundant_band, BANDS.replace("SPEED", str(speed)))
    assert [one.statements[0] for one in findings] == redundant
