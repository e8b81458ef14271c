"""Compressed logs are read as they are, and one that is damaged is never read in part."""

from __future__ import annotations

import gzip
import io
import lzma
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.api import loads
from alertlang.logs.log_error import LogError
from alertlang.logs.opened import LONGEST_LINE, _zstd, opened
from alertlang.logs.read import read_log, stream_log
from alertlang.replay.wanted import wanted_of

RULES = loads(
    """rules "odd" version 1
quantity rpm "Engine speed" from 0 to 3000 rpm
"""
).model
LOG = ("time,rpm\n" + "".join(f"{row},{row % 3000}\n" for row in range(5000))).encode()


def zipped(data: bytes, **more: bytes) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.mkdir("folder")
        for name, part in {"folder/run.csv": data, **more}.items():
            archive.writestr(name, part)
    return made.getvalue()


def zstd(data: bytes) -> bytes:
    """With a checksum, as the format's own command writes it: without one damage need not show."""
    return bytes(_zstd().compress(data, options={_zstd().CompressionParameter.checksum_flag: 1}))


PACKED: dict[str, Callable[[bytes], bytes]] = {
    "gz": gzip.compress,
    "xz": lzma.compress,
    "zst": lambda data: b"".join(zstd(part) for part in (data[:999], data[999:])),
    "zip": zipped,
}


def rpm(path: Path, block: int) -> list[float]:
    stream = stream_log(path, None, wanted_of(RULES), block=block)
    found: list[list[float]] = [chunk.segment.columns["rpm"].numbers.tolist() for chunk in stream.chunks()]
    assert stream.far.share == 1.0
    return [number for part in found for number in part]


@pytest.mark.parametrize("kind", PACKED)
def test_a_compressed_log_is_read_as_it_is(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"log.csv.{kind}"
    path.write_bytes(PACKED[kind](LOG))
    for block in (777, 1 << 23):
        assert rpm(path, block) == [float(row % 3000) for row in range(5000)]


@given(kind=st.sampled_from(sorted(PACKED)), data=st.data())
def test_no_part_of_a_damaged_one_is_taken_for_the_whole(
    kind: str, data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("log") / "log.csv"
    whole = PACKED[kind](LOG)
    at = data.draw(st.integers(0, len(whole) - 1))
    cut = data.draw(st.booleans())
    path.write_bytes(
        whole[:at] if cut else whole[:at] + bytes([whole[at] ^ data.draw(st.integers(1, 255))]) + whole[at + 1 :]
    )
    try:
        with opened(path, "log.csv") as read:
            found = b"".join(iter(lambda: read(1000), b""))
    except LogError:
        return
    # What says nothing of the data may be damaged; and what no longer begins as its kind does is a text of its own.
    assert found in (LOG, path.read_bytes())


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (zipped(LOG, second=LOG), "log.csv: is an archive of 2 files, not of one log; unpack it"),
        (zipped(LOG, **{"[Content_Types].xml": b""}), "log.csv: is no table of text but a spreadsheet"),
        (gzip.compress(b"%PDF-1.7", mtime=0), "log.csv: is no table of text but a PDF document"),
        (gzip.compress(gzip.compress(LOG)), "log.csv: is no table of text but compressed twice"),
    ],
    ids=["two", "spreadsheet", "document", "twice"],
)
def test_what_is_in_it_is_told(data: bytes, message: str, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(data)
    with pytest.raises(LogError) as told:
        read_log(path, None, wanted_of(RULES), shown="log.csv")
    assert message in str(told.value)


def test_a_line_without_an_end_is_no_log(tmp_path: Path) -> None:
    """A file with a hole in it costs no memory to make, nor to refuse."""
    path = tmp_path / "log.csv"
    with path.open("wb") as made:
        made.write(LOG)
        made.truncate(1 << 33)
    with pytest.raises(LogError, match=f"has a line of more than {LONGEST_LINE >> 20} MiB"):
        read_log(path, None, wanted_of(RULES))
