"""Any profile: the draft can be read, is canonical, leaves no gap, contradicts itself nowhere, guards every limit."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import draft, loads
from alertlang.format.text import format_text
from alertlang.text.source import Source

HEAD = (
    'profile "any" version 1\nsource HAND "Handbook, page 1"\nquantity x "X" from 0 to 100\n'
    'quantity y[2] "Y" from 0 to 50\nquantity z "Z" from 0 to 10\nswitch s up, down\n'
    "condition running means z above 4\n"
    "curve x_end over z: 2 -> 60, 6 -> 80\ncurve y_end over z: 2 -> 30, 6 -> 40, otherwise 30\n"
)
WHEN = ["", "", "when running ", "when s is down ", "when z below 7 ", "when running and s is up "]
# Without a gap, a contradiction, a band for nothing, and with every limit and precaution kept.
SURE = {
    "gap", "hairline-gap", "conflict", "unreachable-band", "unguarded-limit", "missing-alert", "late-alert",
    "unmarked-precaution", "lost-guard", "blank-on-failure", "unwatched-quantity", "same-text", "colour-level",
}  # fmt: skip


@st.composite
def statement(draw: st.DrawFn) -> str:
    name = draw(st.sampled_from(["x", "y"]))
    top = 10 if name == "x" else 5
    low, high = sorted(draw(st.lists(st.integers(1, top - 1), min_size=2, max_size=2, unique=True)))
    number = [10 * low, 10 * high]
    region = draw(st.sampled_from(["below {0}", "above {0}", "at most {1}", "at least {0}", "from {0} to {1}"])).format(
        *number
    )
    if draw(st.integers(0, 3)) == 0:
        region = draw(st.sampled_from([f"above {name}_end", f"at most {name}_end", f"from 10 to {name}_end"]))
    kind = draw(st.sampled_from(["limit", "limit", "precaution", "normal"]))
    needs = draw(st.sampled_from(["", ", needs caution", ", needs warning within 5 s"])) if kind == "limit" else ""
    return f"{draw(st.sampled_from(WHEN))}{kind} {name} {region}{needs}, source HAND"


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(st.lists(statement(), min_size=1, max_size=6))
def test_any_profile(statements: list[str]) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "any.profile"
        path.write_text(HEAD + "\n".join(statements) + "\n")
        made = draft((str(path),))
        assert format_text(Source("draft", made.text)) == made.text
        report = loads(made.text, folder=folder).check()
    # A calm band whose end moves ends elsewhere while its curve says otherwise. The draft tells it and leaves it so.
    moves = any("_end" in one and " limit " not in f" {one}" for one in statements)
    sure = SURE - {"blank-on-failure"} if moves else SURE
    found = [(f.code.name, f.message) for f in report.findings if f.code.name in sure]
    assert found == [], made.text
    # What is left is told to whoever asked for the draft.
    assert {f.code.name for f in made.findings} >= {
        f.code.name for f in report.findings if f.severity.word != "note" and f.accepted is None
    }
