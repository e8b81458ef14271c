"""The recorded run of the second example, invented: a cold start, a hot cylinder, a failing alternator.

`python -m tests.helpers.bramble_log` writes it. Straight lines between points, a little noise from a counter, so that
the same file comes out each time.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "examples" / "02-bramble" / "logs"
LAST = 3000

# (second, value): straight lines between, flat beyond.
Points = list[tuple[int, float]]

RPM: Points = [
    *[(0, 0), (19, 0), (21, 450), (24, 1000), (200, 1000), (204, 1420), (228, 1420), (232, 1000), (690, 1000)],
    *[(700, 1700), (740, 1700), (750, 1000), (790, 1000), (800, 2740), (1128, 2740), (1140, 2550), (1215, 2550)],
    *[(1225, 2300), (1400, 2300), (1410, 2400), (2400, 2400), (2410, 1900), (2640, 1900), (2660, 1500)],
    *[(2760, 1500), (2775, 900), (2940, 900), (2950, 1200), (2956, 0)],
]
OIL_TEMP: Points = [
    (0, 46),
    (60, 47),
    (240, 58),
    (480, 71),
    (660, 84),
    (800, 104),
    (1150, 212),
    (1400, 192),
    (2956, 180),
]
OIL_PRESSURE: Points = [
    *[(0, 0), (21, 0), (27, 58), (240, 62), (700, 54), (790, 40), (800, 57), (1200, 52), (2400, 53), (2450, 48)],
    *[(2770, 38), (2950, 34), (2957, 0)],
]
CHT_1: Points = [
    (0, 47),
    (20, 47),
    (240, 205),
    (690, 268),
    (800, 285),
    (1000, 385),
    (1400, 372),
    (2400, 370),
    (2520, 262),
    (2956, 245),
]
CHT_2: Points = [
    (0, 47),
    (20, 47),
    (240, 199),
    (690, 262),
    (800, 280),
    (1000, 379),
    (1400, 368),
    (2400, 366),
    (2520, 258),
    (2956, 243),
]
CHT_3: Points = [
    *[(0, 47), (20, 47), (240, 208), (690, 271), (800, 290), (980, 405), (1100, 436), (1180, 463), (1210, 467)],
    *[(1240, 455), (1300, 424), (1500, 396), (2400, 388), (2520, 270), (2956, 247)],
]
CHT_4: Points = [
    (0, 47),
    (20, 47),
    (240, 202),
    (690, 265),
    (800, 283),
    (1000, 391),
    (1400, 378),
    (2400, 373),
    (2520, 264),
    (2956, 246),
]
VOLTS: Points = [
    *[(0, 12.6), (18, 12.6), (19, 11.2), (22, 12.1), (31, 12.3), (34, 14.2), (2000, 14.2), (2003, 12.9), (2040, 12.5)],
    *[(2150, 12.45), (2900, 12.2), (3000, 12.1)],
]
ALTERNATOR_AMPS: Points = [(0, 0), (31, 0), (34, 44), (200, 28), (2000, 22), (2002, 0)]
BATTERY_AMPS: Points = [
    (0, -8),
    (18, -8),
    (19, -55),
    (22, -9),
    (31, -9),
    (34, 26),
    (200, 8),
    (600, 2),
    (2000, 1),
    (2003, -22),
    (2110, -21),
    (2120, -9),
    (3000, -8),
]
AIRSPEED: Points = [
    *[(0, 0), (800, 0), (830, 62), (860, 74), (1140, 82), (1400, 104), (2400, 108), (2420, 118), (2640, 92)],
    *[(2652, 88), (2672, 78), (2760, 62), (2775, 50), (2800, 0)],
]
FUEL: Points = [(0, 18.4), (20, 18.4), (790, 17.6), (1400, 15.1), (2400, 11.2), (2956, 9.8)]

# (from second, position)
FLAPS = [(0, "up"), (600, "takeoff"), (880, "up"), (2645, "landing"), (2900, "up")]
DOOR = [(0, "open"), (280, "closed"), (2965, "open")]
ALTERNATOR = [(0, "off"), (31, "on"), (2125, "off")]
BUTTON = [(206, 208), (1120, 1121), (1190, 1192), (2030, 2031), (2660, 2661)]
MARKS = {800: "takeoff", 1200: "cylinder 3", 2010: "alternator light", 2762: "landing"}

HEADING = (
    "Time,Engine speed,Oil temp,Oil press,CHT 1,CHT 2,CHT 3,CHT 4,Bus,Alt load,Battery,IAS,Fuel,Flaps,Door,"
    "Alt switch,Ack,Event"
)

MAP = """\
# Which column of the recorder feeds which quantity of the rules, and in which unit it was written.
time = {column = "Time", unit = "s"}
mark = {column = "Event"}

[columns]
rpm = {column = "Engine speed", unit = "rpm"}
oil_temp = {column = "Oil temp", unit = "C"}
oil_pressure = {column = "Oil press", unit = "psi"}
"cht[1]" = {column = "CHT 1", unit = "C"}
"cht[2]" = {column = "CHT 2", unit = "C"}
"cht[3]" = {column = "CHT 3", unit = "C"}
"cht[4]" = {column = "CHT 4", unit = "C"}
volts = {column = "Bus", unit = "V"}
alternator_amps = {column = "Alt load", unit = "A"}
battery_amps = {column = "Battery", unit = "A"}
airspeed = {column = "IAS", unit = "kt"}
fuel_quantity = {column = "Fuel", unit = "gal"}

[switches]
flaps = {column = "Flaps"}
door = {column = "Door"}
alternator = {column = "Alt switch", positions = {off = "offline", on = "online"}}

[inputs]
acknowledge = {column = "Ack"}
"""


def at(points: Points, second: int) -> Fraction:
    """The value on the straight lines."""
    for (t0, v0), (t1, v1) in pairwise(points):
        if t0 <= second <= t1:
            first, last = Fraction(str(v0)), Fraction(str(v1))
            return first + (last - first) * (second - t0) / (t1 - t0)
    return Fraction(str(points[0][1] if second < points[0][0] else points[-1][1]))


def position(changes: list[tuple[int, str]], second: int) -> str:
    return [what for since, what in changes if since <= second][-1]


def noise(second: int, salt: int) -> Fraction:
    """From -1 to 1, without any pattern that matters."""
    state = (second * 2654435761 + salt * 40503 + 12345) % 4294967296
    state = (state ^ (state >> 15)) * 2246822519 % 4294967296
    state = (state ^ (state >> 13)) * 3266489917 % 4294967296
    return Fraction(state >> 16, 32768) - 1


def celsius(fahrenheit: Fraction) -> Fraction:
    return (fahrenheit - 32) * 5 / 9


def decimal(value: Fraction, digits: int) -> str:
    whole = round(value * 10**digits)
    sign, whole = ("-" if whole < 0 else ""), abs(whole)
    return f"{sign}{whole // 10**digits}" + (f".{whole % 10**digits:0{digits}}" if digits else "")


def row(second: int) -> str:
    turning = at(RPM, second) > 0

    def shaken(points: Points, by: str, salt: int, *, always: bool = True) -> Fraction:
        value = at(points, second)
        return value + Fraction(by) * noise(second, salt) if always or value > 0 else value

    cells = [
        str(second),
        decimal(shaken(RPM, "6", 1, always=False), 0),
        decimal(celsius(shaken(OIL_TEMP, "0.3", 2)), 1),
        decimal(max(Fraction(0), shaken(OIL_PRESSURE, "0.6", 3, always=False)), 0),
        *[decimal(celsius(shaken(cht, "0.6", 4 + n)), 1) for n, cht in enumerate((CHT_1, CHT_2, CHT_3, CHT_4))],
        decimal(shaken(VOLTS, "0.08" if turning else "0.02", 8), 1),
        decimal(max(Fraction(0), shaken(ALTERNATOR_AMPS, "0.4", 9, always=False)), 0),
        decimal(shaken(BATTERY_AMPS, "0.4", 10), 0),
        decimal(max(Fraction(0), shaken(AIRSPEED, "0.7", 11, always=False)), 0),
        decimal(shaken(FUEL, "0.1", 12), 1),
        position(FLAPS, second),
        position(DOOR, second),
        position(ALTERNATOR, second),
        "1" if any(start <= second <= end for start, end in BUTTON) else "0",
        MARKS.get(second, ""),
    ]
    return ",".join(cells)


def log() -> str:
    return "\n".join([HEADING, *[row(second) for second in range(LAST + 1)]]) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / "first-flight.csv").write_text(log(), encoding="utf-8")
    (FOLDER / "recorder.toml").write_text(MAP, encoding="utf-8")
