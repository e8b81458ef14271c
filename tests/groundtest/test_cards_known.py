"""What is said of a term without a solver holds whatever is still open."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.groundtest.stimulus import could_be
from alertlang.logic.terms import AtValue, Flag, Less, Linear, Term, conjunction, disjunction, negate

VALUES: dict[str, tuple[Fraction | str | bool, ...]] = {
    "a": (Fraction(0), Fraction(1), Fraction(2)),
    "b": (Fraction(0), Fraction(1), Fraction(2)),
    "flaps": ("up", "down"),
    "a failed": (False, True),
}
NUMBERS = st.sampled_from([Fraction(n, 2) for n in range(5)])
READINGS = st.sampled_from(["a", "b"])
ATOMS = st.one_of(
    st.builds(Less, READINGS, NUMBERS, st.booleans()),
    st.builds(AtValue, st.just("flaps"), st.sampled_from(["up", "down"])),
    st.builds(Flag, st.just("a failed")),
    st.builds(Linear, st.just({"a": Fraction(1), "b": Fraction(-2)}), NUMBERS, st.booleans()),
)
TERMS = st.recursive(
    ATOMS,
    lambda part: st.one_of(
        st.builds(negate, part),
        st.builds(conjunction, st.lists(part, max_size=3)),
        st.builds(disjunction, st.lists(part, max_size=3)),
    ),
    max_leaves=8,
)
ALL = [dict(zip(VALUES, some, strict=True)) for some in product(*VALUES.values())]


@settings(phases=[Phase.explicit, Phase.generate], max_examples=100)
@given(TERMS, st.sampled_from(ALL), st.sets(st.sampled_from(sorted(VALUES))))
def test_what_cannot_be_is_false_in_every_state(term: Term, state: dict[str, object], known: set[str]) -> None:
    told = {name: value for name, value in state.items() if name in known}
    completions = [one for one in ALL if all(one[name] == value for name, value in told.items())]
    if not could_be(term, told.get):  # type: ignore[arg-type]
        assert not any(could_be(term, one.get) for one in completions)
    # With everything told it is the truth itself, and so is its contrary.
    assert could_be(term, state.get) is not could_be(negate(term), state.get)  # type: ignore[arg-type]


def test_every_kind_of_atom() -> None:
    state = {"a": Fraction(1), "b": Fraction(1, 2), "flaps": "up", "a failed": False}
    level = Linear({"a": Fraction(1), "b": Fraction(-2)}, Fraction(0), True)
    yes = [Less("a", Fraction(1), True), AtValue("flaps", "up"), negate(Flag("a failed")), level]
    no = [Less("a", Fraction(1), False), AtValue("flaps", "down"), Flag("a failed")]
    assert [could_be(term, state.get) for term in yes] == [True] * 4  # type: ignore[arg-type]
    assert [could_be(term, state.get) for term in no] == [False] * 3  # type: ignore[arg-type]
    assert all(could_be(term, lambda _: None) for term in (*yes, *no))
