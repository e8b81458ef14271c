"""Small random rule sets about one limited reading and the alerts that may be up for something else."""

from __future__ import annotations

from hypothesis import strategies as st

from tests.helpers.generate import HEAD

NUMBERS = (10, 20, 25, 30)
REGIONS = ("above {0}", "below {0}", "at least {0}", "at most {0}", "from {0} to {1}", "outside {0} to {1}")


@st.composite
def watched(draw: st.DrawFn) -> str:
    """One limited quantity, perhaps an array of two, another reading and a switch; limits, normal and avoid ranges,
    bands, and alerts on their own that read two things at a time."""

    def one_of(*some: str) -> str:
        return draw(st.sampled_from(some))

    def chance(percent: int) -> bool:
        return draw(st.integers(0, 99)) < percent

    def region(kinds: tuple[str, ...] = REGIONS) -> str:
        low, high = sorted((draw(st.sampled_from(NUMBERS)), draw(st.sampled_from(NUMBERS))))
        return one_of(*kinds).format(low, high)

    array = chance(20)
    read = "any q" if array and chance(50) else "q[1]" if array else "q"

    def other() -> str:
        return one_of("s is on", "s is off", f"r {region()}", f"not (r {region()})", f"{read} {region()}")

    def when(percent: int) -> str:
        return f"when {other()} " if chance(percent) else ""

    lines = [f"quantity q{'[2]' if array else ''} from 0 to 40, step 5", "quantity r from 0 to 40", "switch s off, on"]
    if chance(25):
        lines.append(f"assume {when(100) + 'then ' if chance(50) else ''}{'every q' if array else 'q'} {region()}")
    for _ in range(draw(st.integers(1, 2))):
        kind = f"avoid q {region(REGIONS[4:])}" if chance(20) else f"limit q {region()}"
        allowed = " except for 60 s" if chance(20) else ""
        lines.append(f"{when(30)}{kind}{allowed}, needs {one_of('warning', 'caution')}, source NOTE")
    lines += [f"{when(30)}normal q {region()}, source NOTE" for _ in range(draw(st.sampled_from((0, 1, 1, 2))))]
    for colour in draw(st.lists(st.sampled_from(("red", "red", "yellow", "green")), max_size=4)):
        alert = f' with {one_of("warning", "caution")} "B"' if chance(25) else ""
        context = f"{when(100)}then " if chance(30) else ""
        lines.append(f"{context}q {region()} is {colour}{alert}")
    for place in range(draw(st.integers(1, 3))):
        operator = one_of("and", "or", "or")
        condition = f"{read} {region()}" if chance(40) else f"{read} {region()} {operator} {other()}"
        unless = f" unless {other()}" if chance(15) else ""
        lines.append(f'when {condition} then {one_of("warning", "warning", "caution")} "A{place}"{unless}')
    return HEAD + "\n".join(lines) + "\n"
