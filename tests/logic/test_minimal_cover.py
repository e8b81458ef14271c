"""The cheapest choice, against every choice there is."""

from __future__ import annotations

from itertools import product

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.logic.minimal_cover import Choice, CoverDemand, least

OPTIONS = 5
NUMBER = st.integers(0, OPTIONS - 1)
GROUP = st.lists(NUMBER, min_size=1, max_size=2).map(tuple)
GAIN = st.tuples(st.integers(1, 2), st.lists(GROUP, min_size=1, max_size=3).map(tuple))
DEMAND = st.builds(CoverDemand, st.integers(1, 3), st.lists(GAIN, min_size=1, max_size=4).map(tuple))


def does(chosen: tuple[int, ...], demands: list[CoverDemand], apart: list[tuple[int, int]]) -> bool:
    if any(a in chosen and b in chosen for a, b in apart):
        return False
    for demand in demands:
        total = sum(w for w, groups in demand.gains if all(any(i in chosen for i in some) for some in groups))
        if total < demand.amount:
            return False
    return True


def cost(chosen: tuple[int, ...], losses: list[int]) -> list[int]:
    """How many of the worst, then of the next."""
    return [sum(losses[i] == loss for i in chosen) for loss in (4, 3, 2, 1)]


@settings(max_examples=80, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(
    st.lists(st.integers(1, 4), min_size=OPTIONS, max_size=OPTIONS),
    st.lists(DEMAND, min_size=1, max_size=3),
    st.lists(st.tuples(NUMBER, NUMBER).filter(lambda pair: pair[0] != pair[1]), max_size=2),
)
def test_no_choice_is_cheaper(losses: list[int], demands: list[CoverDemand], apart: list[tuple[int, int]]) -> None:
    every = [tuple(i for i, taken in enumerate(bits) if taken) for bits in product((0, 1), repeat=OPTIONS)]
    good = [cost(some, losses) for some in every if does(some, demands, apart)]
    choice = least(losses, demands, apart)
    if not good:
        assert choice is None
        return
    assert choice is not None
    assert choice.proved
    assert does(choice.chosen, demands, apart)
    assert cost(choice.chosen, losses) == min(good)


def test_a_barred_set_is_not_chosen_again() -> None:
    demand = CoverDemand(1, ((1, ((0,),)), (1, ((1,),))))
    assert least([1, 1], [demand], []) == Choice((0,), True)
    assert least([1, 1], [demand], [], [frozenset({0})]) == Choice((1,), True)
    assert least([1, 1], [demand], [], [frozenset({0}), frozenset({1})]) is None
