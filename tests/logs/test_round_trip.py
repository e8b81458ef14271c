"""A generated table written to CSV in any dialect reads back to exactly the same numbers."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.column_map import parse_column_map
from alertlang.logs.read import read_log, stream_log
from alertlang.replay.wanted import wanted_of
from alertlang.units.number import show_number
from alertlang.units.unit import UNITS, convert

RULES = loads(
    """rules "trip" version 1
quantity a from -1000000000 to 1000000000 F
quantity b[2] from -10000 to 10000 psi
switch flaps up, half, down
"""
).model

decimals = st.builds(lambda n, k: Fraction(n, 10**k), st.integers(-(10**8), 10**8), st.integers(0, 6))
cell = st.one_of(st.none(), decimals)
row = st.tuples(st.integers(-3, 50), cell, cell, cell, st.sampled_from(["up", "half", "down", "?"]), st.booleans())
dialects = st.fixed_dictionaries(
    {
        "separator": st.sampled_from([",", ";", "\t", "|"]),
        "decimal": st.sampled_from([".", ","]),
        "encoding": st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"]),
        "ends": st.sampled_from(["\n", "\r\n", "\r"]),
        "quoting": st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
        "trailing": st.booleans(),
        "final": st.booleans(),
        "note": st.sampled_from(["note", 'a "b" °C', "x;y,z"]),
    }
)


def number(value: Fraction | None, decimal: str) -> str:
    return "" if value is None else show_number(value).replace(".", decimal)


@settings(max_examples=150, phases=[Phase.explicit, Phase.generate])
@given(st.lists(row, min_size=1, max_size=12), dialects, st.sampled_from([40, 1 << 20]))
def test_what_is_written_is_read(rows: list, dialect: dict, block: int) -> None:  # type: ignore[type-arg]
    if dialect["decimal"] == "," and dialect["separator"] == ",":
        dialect = dialect | {"quoting": csv.QUOTE_ALL}
    out = io.StringIO()
    writer = csv.writer(out, delimiter=dialect["separator"], quoting=dialect["quoting"], lineterminator=dialect["ends"])
    extra = [""] if dialect["trailing"] and dialect["quoting"] == csv.QUOTE_MINIMAL else []
    writer.writerow(["time", "A", dialect["note"], "B 1", "B 2", "Flaps", "Mark"])
    expected: list[list[tuple[object, ...]]] = []
    time, last = 0, None
    for step, a, b1, b2, flaps, mark in rows:
        time += step
        values = [number(one, dialect["decimal"]) for one in (Fraction(time, 10), a, b1, b2)]
        writer.writerow([values[0], values[1], dialect["note"], *values[2:], flaps, int(mark), *extra])
        low, high = (convert(Fraction(end), UNITS["psi"], UNITS["kPa"]) for end in (-10000, 10000))
        sample = (
            Fraction(time, 10),
            None if a is None or not -(10**9) <= a * 9 / 5 + 32 <= 10**9 else a * 9 / 5 + 32,
            *(None if b is None or not low <= b <= high else convert(b, UNITS["kPa"], UNITS["psi"]) for b in (b1, b2)),
            ["up", "half", "down", "?"].index(flaps) if flaps != "?" else -1,
            mark,
        )
        if last is None or time < last:
            expected.append([])
        elif time == last:
            expected[-1].pop()
        expected[-1].append(sample)
        last = time
    text = out.getvalue()
    if not dialect["final"]:
        text = text.removesuffix(dialect["ends"])
    separator = "tab" if dialect["separator"] == "\t" else dialect["separator"]
    encoding = "" if dialect["encoding"] in ("utf-8-sig", "utf-16") else f'encoding = "{dialect["encoding"]}"\n'
    column_map = parse_column_map(
        f"""mark = "Mark"
[columns]
a = {{column = "A", unit = "C"}}
"b[1]" = {{column = "B 1", unit = "kPa"}}
"b[2]" = {{column = "B 2", unit = "kPa"}}
[switches]
flaps = "Flaps"
[options]
separator = "{separator}"
decimal = "{dialect["decimal"]}"
{encoding}""".encode(),
        "map",
    )
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        path.write_bytes(text.encode(dialect["encoding"]))
        whole = [
            [
                (
                    one.seconds(i),
                    *(one.columns[name].value(i) for name in ("a", "b[1]", "b[2]")),
                    int(one.positions["flaps"][i]),
                    bool(one.marks[i]),
                )
                for i in range(len(one))
            ]
            for one in read_log(path, column_map, wanted_of(RULES)).segments
        ]
        stream = stream_log(path, column_map, wanted_of(RULES), block=block)
        pieces: list[list[int]] = []
        for chunk in stream.chunks():
            if not chunk.continues:
                pieces.append([])
            pieces[-1] += chunk.segment.rows.tolist()
    assert whole == expected
    assert [len(one) for one in pieces] == [len(one) for one in expected]
