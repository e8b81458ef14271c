"""What a finding shows (a region and a witness), held against the counted states."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from alertlang.findings.finding import Finding, Positions, Reach, Region, Witness, WitnessReading
from tests.helpers.oracle import Oracle

# By code, how a finding of it names what it is about.
LIMITS = {"AL301", "AL302", "AL304"}
PAIRS = {"AL202", "AL204"}
GAPS = {"AL201", "AL208"}


def key_of(one: Finding) -> tuple[str, ...]:
    """The same key that the oracle uses."""
    code = one.code.code
    if code in LIMITS or code == "AL308":
        return (str(one.limit),)
    if code == "AL307":
        return (str(one.quantity),)
    if code == "AL404":
        return ()
    return one.statements[: 2 if code in PAIRS else 1]


def primary(region: Region) -> str:
    """The reading a finding is about comes first in its region."""
    return next(iter(region))


def element(reading: str) -> int | None:
    return int(reading[:-1].split("[")[1]) if "[" in reading else None


def digits_of(oracle: Oracle, region: Region) -> dict[str, set[int]]:
    """The cells and positions of a region; each end of it must be a number of the rules or of the sensor."""
    found: dict[str, set[int]] = {}
    for name, part in region.items():
        if isinstance(part, Positions):
            found[name] = {oracle.digit(name, position) for position in part.names}
            continue
        assert isinstance(part, Reach)
        low, high = part.interval.low, part.interval.high
        points = oracle.points[oracle.quantity_of[name].name]
        assert low in points, (name, low)
        assert high in points, (name, high)
        found[name] = set()
        for cell, value in enumerate(oracle.values(oracle.quantity_of[name].name)):
            above = low <= value if part.interval.low_included else low < value
            below = value <= high if part.interval.high_included else value < high
            if above and below:
                found[name].add(cell)
        assert found[name], (name, part.interval)
    return found


def box_of(oracle: Oracle, region: Region) -> int:
    return oracle.box(digits_of(oracle, region))


def state_of(oracle: Oracle, witness: Witness) -> int:
    """The states that agree with a witness; the conditions it shows are left to `check_witness`."""
    values: dict[str, Fraction | str] = {}
    for name, fact in witness.items():
        if isinstance(fact, WitnessReading):
            values[name] = fact.value
        elif isinstance(fact, str):
            values[name] = fact
    return oracle.state(values)


def wider(oracle: Oracle, region: Region) -> Iterator[tuple[str, dict[str, set[int]]]]:
    """The region with one end moved outward by one cell, or one more position: every way to do so."""
    digits = digits_of(oracle, region)
    for name, cells in digits.items():
        everything = set(range(oracle.size[name]))
        beside = {min(cells) - 1, max(cells) + 1} if name in oracle.quantity_of else everything - cells
        for cell in sorted(beside & everything):
            yield f"{name} {cell}", {**digits, name: cells | {cell}}


def check_region(oracle: Oracle, region: Region, problem: int) -> None:
    """The problem holds in all possible states of the region, and no end can be moved outward keeping that."""
    right = oracle.possible & ~problem
    assert box_of(oracle, region) & right == 0, "the region holds a state without the problem"
    for what, digits in wider(oracle, region):
        assert oracle.box(digits) & right != 0, f"the region could be larger: {what}"


def check_witness(oracle: Oracle, witness: Witness, region: Region, problem: int) -> None:
    """The problem holds in the witness, whatever the names are at that it leaves out, and it lies in the region."""
    states = state_of(oracle, witness) & oracle.possible
    assert states != 0, "the witness breaks an assumption"
    assert states & ~problem == 0, "the problem does not hold in the witness"
    assert states & ~box_of(oracle, region) == 0, "the witness lies outside the region"
    for name, fact in witness.items():
        if isinstance(fact, bool):
            truth = oracle.true(oracle.rules.conditions[name].formula)
            assert states & ~(truth if fact else ~truth) == 0, f"the condition {name} is not {fact} there"


def check_on_step(oracle: Oracle, witness: Witness, among: int) -> None:
    """No state of `among` is on the step in one reading more than the witness is."""
    readings = {n: fact.value for n, fact in witness.items() if isinstance(fact, WitnessReading)}
    off = set()
    for name, value in readings.items():
        step = oracle.quantity_of[name].step
        if step is not None and value % step != 0:
            off.add(name)
    for name in sorted(off):
        better = oracle.box({n: oracle.readable(n) for n in readings if n not in off or n == name})
        assert not oracle.exists(among & better), f"{name} could be a multiple of its step"
