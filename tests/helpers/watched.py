"""Small random rule sets about one limited reading and the alerts that may be up for something else."""

from __future__ import annotations

from hypothesis import strategies as st

from tests.helpers.generate import HEAD
from tests.helpers.regions import DRAWN, TWO_SIDED, two_sided

NUMBERS = (10, 20, 25, 30)
REGIONS = ("above {0}", "below {0}", "at least {0}", "at most {0}", *DRAWN)


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
        kind = one_of(*kinds)
        return two_sided(kind, str(low), str(high)) if kind in TWO_SIDED else kind.format(low, high)

    array = chance(20)
    read = "any q" if array and chance(50) else "q[1]" if array else "q"

    def other() -> str:
        return one_of("s is on", "s is off", f"r {region()}", f"not (r {region()})", f"{read} {region()}")

    def when(percent: int) -> str:
        return f"when {other()} " if chance(percent) else ""

    lines = [f"quantity q{'[2]' if array else ''} from 0 to 40, step 5", "quantity r from 0 to 40", "switch s off, on"]
    if chance(25):
        lines.append(f"assume {when(100) + 'then ' if chance(50) else ''}{'every q' if array else 'q'} {region()}")
    for _ in range(draw(st.integers(0, 2))):
        kind = f"avoid q {region(REGIONS[4:])}" if chance(20) else f"limit q {region()}"
        allowed = " except for 60 s" if chance(20) else ""
        lines.append(f"{when(30)}{kind}{allowed}, needs {one_of('warning', 'caution')}, source NOTE")
    if chance(60):
        # A guard of an upper limit, perhaps early, perhaps one for each position of the switch.
        top = draw(st.sampled_from(NUMBERS[1:]))
        early = st.sampled_from([number for number in NUMBERS if number <= top])
        allowed = " except for 60 s" if chance(20) else ""
        lines.append(f"{when(30)}limit q at most {top}{allowed}, needs caution, source NOTE")
        positions = ("s is off and ", "s is on and ") if chance(50) else ("",)
        lines += [f'when {where}{read} above {draw(early)} then caution "TOP"' for where in positions]
        lines += [f"normal q at most {draw(st.sampled_from(NUMBERS))}, source NOTE"] * chance(40)
    lines += [f"{when(30)}normal q {region()}, source NOTE" for _ in range(draw(st.sampled_from((0, 0, 1, 2))))]
    for colour in draw(st.lists(st.sampled_from(("red", "red", "yellow", "green")), min_size=1, max_size=4)):
        alert = f' with {one_of("warning", "caution")} "B"' if chance(25) else ""
        context = f"{when(100)}then " if chance(30) else ""
        lines.append(f"{context}q {region()} is {colour}{alert}")
    for place in range(draw(st.integers(0, 2))):
        operator = one_of("and", "or", "or")
        condition = f"{read} {region()}" if chance(40) else f"{read} {region()} {operator} {other()}"
        unless = f" unless {other()}" if chance(15) else ""
        lines.append(f'when {condition} then {one_of("warning", "warning", "caution")} "A{place}"{unless}')
    return HEAD + "\n".join(lines) + "\n"


@st.composite
def remembering(draw: st.DrawFn) -> str:
    """Two readings, a condition with a memory, one that must last, derived readings: see `news_told`."""

    def one_of(*some: str) -> str:
        return draw(st.sampled_from(some))

    def chance(percent: int) -> bool:
        return draw(st.integers(0, 99)) < percent

    def number() -> str:
        return str(draw(st.sampled_from((5, 10))))

    def region() -> str:
        low, high = sorted((number(), number()), key=int)
        return one_of("above {0}", "below {0}", "at least {0}", "at most {0}", "from {0} to {1}").format(low, high)

    derived = draw(st.sampled_from(("", "", "d", "top")))
    limited = "d" if derived == "d" and chance(60) else "q"

    def atom(*more: str) -> str:
        return one_of(f"q {region()}", f"q {region()}", f"r {region()}", f"s is {one_of('on', 'off')}", *more)

    def reading() -> str:
        return f"d {region()}" if derived == "d" else "q above top" if derived == "top" else f"q {region()}"

    deadband = ", deadband 3" if chance(30) else ""
    lines = [f"quantity q from 0 to 15, step 1{deadband}", "quantity r from 0 to 15, step 1", "switch s off, on"]
    lines += {"d": ["let d = q - r"], "top": ["let top = r + 5"]}.get(derived, [])
    lines += [f"condition memory means {atom()} until {atom()}", f"condition lasting means {atom()} for at least 30 s"]
    named = ("memory", "memory", "lasting", reading())
    if chance(20):
        lines.append(f"assume {atom()} or {atom()}")
    for _ in range(draw(st.integers(1, 2))):
        context = f"when {atom(*named)} " if chance(30) else ""
        wrong = "limit q at most top" if derived == "top" and chance(50) else f"limit {limited} {region()}"
        allowed = " except for 60 s" if chance(20) else ""
        lines.append(f"{context}{wrong}{allowed}, needs {one_of('warning', 'caution')}, source NOTE")
    if chance(50):
        lines.append(f"normal {limited} {region()}, source NOTE")
    # A gauge that shows nothing anywhere, so that the limits are looked at.
    lines.append(f"{limited} below 0 is unmarked" if limited == "q" else f"{limited} below -15 is unmarked")
    for _ in range(draw(st.integers(0, 2))):
        context = f"when {atom(*named)} then " if chance(30) else ""
        lasts = " for more than 10 s" if chance(25) else ""
        alert = f' with {one_of("warning", "caution")} "B"' if chance(30) else ""
        about = one_of("q", limited)
        lines.append(f"{context}{about} {region()}{lasts} is {one_of('red', 'red', 'yellow')}{alert}")
    for place in range(draw(st.integers(1, 3))):
        first = reading() if limited == "d" or chance(30) else f"q {region()}"
        condition = f"{first} {one_of('and', 'or', 'or')} {atom(*named)}"
        lasts = " for more than 10 s" if chance(15) else ""
        unless = f" unless {atom(*named)}" if chance(15) else ""
        lines.append(f'when {condition}{lasts} then {one_of("warning", "caution")} "A{place}"{unless}')
    return HEAD + "\n".join(lines) + "\n"
