"""Rule sets of any size, as text: the same size, the same text.

Every quantity has the gauge of an everyday one (low, normal, high, too high), limits with sources, and bands that hold
only in a context. The contexts are a few conditions over six quantities and two switches, shared by all bands. The
rule sets are clean but for a handful of mistakes, put there on purpose, so that witnesses are sought too.
"""

from __future__ import annotations

from dataclasses import dataclass

# Bands, and the quantities they are spread over.
SIZES: tuple[tuple[int, int], ...] = ((60, 10), (600, 60), (6000, 500))

# What the contexts read. Each has its own gauge too, like any other quantity.
CORE = ("rpm", "oil_temp", "oil_pressure", "airspeed", "volts", "fuel_flow")

_HEAD = """\
switch flaps "Flaps" up, takeoff, landing
switch canopy "Canopy" closed, open

condition running means rpm above 300
condition cold means oil_temp below 150
condition high_power means rpm above 600 and fuel_flow above 400
condition slow means airspeed below 350 and flaps is not up
condition weak means volts below 300 or (canopy is open and airspeed above 250)
condition steady means running and not cold and not slow

assume when not running then fuel_flow below 400
assume when running then volts above 20
assume when airspeed above 700 then flaps is up

when high_power and cold then advisory "WARM UP FIRST"
when weak and running then advisory "SPARE POWER"
"""

# Each context with the quantities it reads: a gauge has no context that reads its own quantity.
_CONTEXTS = (
    ("cold", frozenset({"oil_temp"})),
    ("high_power", frozenset({"rpm", "fuel_flow"})),
    ("slow", frozenset({"airspeed"})),
    ("weak", frozenset({"volts", "airspeed"})),
    ("flaps is landing", frozenset({"airspeed"})),
    ("steady", frozenset({"rpm", "oil_temp", "airspeed"})),
    ("running and canopy is open", frozenset({"rpm"})),
    ("cold and flaps is takeoff", frozenset({"oil_temp", "airspeed"})),
)

# A dead probe must not silence a guard: where it has failed a context holds, and what takes a guard away does not.
_PROBES = {"oil_temp", "rpm", "fuel_flow", "airspeed", "volts"}


def _failed(reads: frozenset[str]) -> str:
    return " or ".join(f"{name} failed" for name in sorted(reads & _PROBES))


# The mistakes, by the quantity they are made on: the first four that no context reads.
SEEDED = ("gap", "unguarded-limit", "conflict", "unreachable-band")


@dataclass(frozen=True, slots=True)
class Synthetic:
    """One rule set: its text, and how many bands and quantities it has."""

    text: str
    bands: int
    quantities: int


# What stands beside the conditions where rules are timed: one that keeps its state between two values, and one that
# settles in a second. No limit's context is made of them: with a sensor that comes and goes its guard would be lost.
_TIMED = {
    'when high_power and cold then advisory "WARM UP FIRST"\n': (
        "condition chilled means oil_temp below 150 until oil_temp above 155\n"
        'when high_power and chilled then advisory "WARM UP FIRST"\n'
    ),
    'when weak and running then advisory "SPARE POWER"\n': (
        "condition settled means running, set after 1 s, cleared after 1 s\n"
        'when weak and settled then advisory "SPARE POWER"\n'
    ),
}


def synthetic(bands: int, quantities: int, *, timed: bool = False) -> Synthetic:
    """A rule set of exactly so many bands over exactly so many quantities. `timed`: a third of its bands have words of
    the clock, as have two of its conditions."""
    head = _HEAD
    for plain, with_time in _TIMED.items() if timed else ():
        assert plain in head
        head = head.replace(plain, with_time)
    if quantities < len(CORE) + len(SEEDED):
        raise ValueError(f"at least {len(CORE) + len(SEEDED)} quantities")
    if bands < 6 * quantities:
        raise ValueError("at least 6 bands for every quantity")
    lines = [
        f'rules "synthetic-{bands}" version 1',
        'source MADE common practice "made by a program"',
        head,
    ]
    each, more = divmod(bands, quantities)
    for i in range(quantities):
        name = CORE[i] if i < len(CORE) else f"q{i}"
        seed = i - len(CORE)
        mistake = SEEDED[seed] if 0 <= seed < len(SEEDED) else None
        lines += _gauge(name, i, each + (i < more), mistake, timed)
    return Synthetic("\n".join(lines) + "\n", bands, quantities)


def _gauge(name: str, i: int, bands: int, mistake: str | None, timed: bool) -> list[str]:
    shift = i % 7
    low, green, yellow, red = 100 + shift, 160 + shift, 700 + shift, 900 + shift
    array = i >= len(CORE) and i % 10 == 0
    size, number, said = ("[4]", " {n}", name.upper()) if array else ("", "", name.upper())
    running = ("running or rpm failed", "running") if name != "rpm" else ("canopy is closed", "canopy is closed")
    on, whenever = running
    usable = [formula for formula, reads in _CONTEXTS if name not in reads]
    reads_of = dict(_CONTEXTS)
    late = " after 1 s latched" if timed else ""
    lines = [
        "",
        f"quantity {name}{size} from 0 to 1000, step 1",
        f"{name}_most: limit {name} at most {red}, needs warning, source MADE",
        f"{name}_least: when {whenever} limit {name} at least {low}, needs warning, source MADE",
        f"{name}_usual: normal {name} from {green} to {yellow - 60}, source MADE",
        f'{name}_low: {name} below {low} is red with warning "{said}{number} LOW" unless not ({on})',
        f"{name}_off: when not ({on}) then {name} below {low} is unmarked",
        f"{name}_high: {name} from {yellow + (10 if mistake == 'gap' else 0)} to {red} is yellow",
        f'{name}_top: {name} above {red} is red with warning "{said}{number} HIGH"{late}',
    ]
    # In the least gauge one band is green; more of them split it, the odd ones by a context and its contrary.
    left = bands - 4
    if mistake in {"conflict", "unreachable-band"}:
        left -= 1
    contexts = left // 2
    parts = left - contexts
    edges = [low + (yellow - low) * k // parts for k in range(parts + 1)]
    k = 0
    while k < parts:
        start, end = edges[k], edges[k + 1]
        if k % 3 == 1 and k + 1 < parts:
            end = edges[k + 2]
            context = usable[(3 * i + k) % len(usable)]
            lines.append(f"{name}_g{k}: when {context} then {name} from {start} to {end} is green")
            lines.append(f"{name}_g{k + 1}: when not ({context}) then {name} from {start} to {end} is green")
            k += 2
        else:
            lines.append(f"{name}_g{k}: {name} from {start} to {end} is green")
            k += 1
    for k in range(contexts):
        context = usable[(3 * i + k) % len(usable)]
        other = usable[(3 * i + k + 3) % len(usable)]
        at = yellow + 20 + 170 * k // contexts
        shown = at + (25 if mistake == "unguarded-limit" and k == 0 else 0)
        spared = k % 2 == 1 and other != context
        when = f"({context}) and not ({other})" if spared else context
        unless = f" unless ({other}) and not ({_failed(reads_of[other])})" if spared else ""
        grace, held, after = (
            (" except for 5 s", " for more than 5 s", " after 1 s") if timed and k % 2 else ("", "", "")
        )
        lines.append(f"{name}_l{k}: when {when} limit {name} at most {at}{grace}, needs caution, source MADE")
        lines.append(
            f"{name}_c{k}: when ({context}) or {_failed(reads_of[context])} then {name} above {shown}{held} is red"
            f' with caution "{said}{number} OVER {k}"{after if held else " after 1 s" if timed else ""}{unless}'
        )
    if mistake == "conflict":
        lines.append(f"{name}_calm: {name} from {yellow + 50} to {yellow + 60} is green")
    if mistake == "unreachable-band":
        lines.append(f"{name}_never: {name} from {red + 20} to {red + 40} is yellow")
    return lines
