"""A log's bytes, unpacked on the way where it is compressed: never all of them at once, and never onto the disk."""

from __future__ import annotations

import gzip
import lzma
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import IO, Any, cast

from alertlang.logs.log_error import LogError

COMPRESSED = (".gz", ".xz", ".zst", ".zip")
"""How the name of a compressed log ends, after the ending that says what is in it."""

_TABLE = "export it as CSV (or as Parquet)"
# How files begin, as the specifications of their kinds say (RFC 1952, RFC 8878, the .xz format, APPNOTE.TXT).
_GZIP, _ZSTD, _XZ, _ZIP = b"\x1f\x8b", b"\x28\xb5\x2f\xfd", b"\xfd7zXZ\0", b"PK\x03\x04"
# A line of a log is some hundred bytes, of ten thousand columns some hundred thousand.
LONGEST_LINE = 1 << 26


@dataclass(slots=True)
class HowFar:
    """How much of a file has been read, in bytes of it as it lies on the disk, or in rows; `share` from 0 to 1."""

    read: int = 0
    size: int = 0

    @property
    def share(self) -> float:
        return min(1.0, self.read / self.size) if self.size else 0.0


@contextmanager
def opened(path: Path, shown: str, far: HowFar | None = None) -> Iterator[Callable[[int], bytes]]:
    """Gives so many of the next bytes (fewer at the end, then none). LogError if it cannot be read or unpacked."""
    if path.is_dir():
        raise LogError(shown, "is a folder, not a log", "name the files in it")
    with ExitStack() as closing:
        with _told(shown):
            raw = closing.enter_context(path.open("rb"))
            plain = _unpacked(raw, shown, closing)
            if far is not None:
                far.read, far.size = 0, path.stat().st_size

        def read(count: int) -> bytes:
            with _told(shown):
                data = plain.read(count)
            if far is not None:
                far.read = raw.tell() if data else far.size
            return data

        yield read


def _unpacked(raw: BufferedReader, shown: str, closing: ExitStack) -> IO[bytes]:
    begins = raw.peek(len(_XZ))
    if begins.startswith(_GZIP):
        return cast("IO[bytes]", closing.enter_context(gzip.open(raw)))
    if begins.startswith(_XZ):
        return cast("IO[bytes]", closing.enter_context(lzma.open(raw)))
    if begins.startswith(_ZSTD):
        return closing.enter_context(_zstd().open(raw))
    if begins.startswith(_ZIP):
        archive = closing.enter_context(zipfile.ZipFile(raw))
        files = [entry for entry in archive.infolist() if not entry.is_dir()]
        if any(entry.filename in ("[Content_Types].xml", "mimetype") for entry in files):
            raise LogError(shown, "is no table of text but a spreadsheet, whatever its name", _TABLE)
        if len(files) != 1:
            raise LogError(shown, f"is an archive of {len(files)} files, not of one log", "unpack it and name the logs")
        if files[0].flag_bits & 1:
            raise LogError(shown, "is locked with a password", "unpack it and name the log in it")
        return closing.enter_context(archive.open(files[0]))
    return raw


def _zstd() -> Any:
    """Of the standard library from Python 3.14 on."""
    from importlib import import_module

    try:
        return import_module("compression.zstd")
    except ModuleNotFoundError:
        return import_module("backports.zstd")


@contextmanager
def _told(shown: str) -> Iterator[None]:
    damaged = "its compressed data is damaged or cut short"
    out = "get it from the recorder again, or unpack what can be unpacked and name that"
    try:
        yield
    except (EOFError, zlib.error, gzip.BadGzipFile, lzma.LZMAError, zipfile.BadZipFile, NotImplementedError):
        raise LogError(shown, damaged, out) from None
    except OSError as problem:
        raise LogError(shown, f"cannot be read: {(problem.strerror or str(problem)).lower()}") from None
    except Exception as problem:
        if type(problem).__name__ != "ZstdError":
            raise
        raise LogError(shown, damaged, out) from None
