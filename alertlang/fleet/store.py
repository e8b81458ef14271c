"""The folder of a fleet's results.

    RESULTS/fleet.json            says what the folder is
    RESULTS/done/KEY.json         what one finished log came to, under what it is known by
    RESULTS/results.parquet       one row for each log; the same as results.csv
    RESULTS/alerts.parquet        one row for each time an alert was up; alerts.csv
    RESULTS/limits.parquet        one row for each time a limit was broken; limits.csv
    RESULTS/README.md             what their columns are

A file is made whole beside where it belongs and then renamed: whoever reads one, and whatever breaks in between, finds
all of it or nothing. A sum in each finished one tells when a disk has lost part of it all the same.
"""

from __future__ import annotations

import hashlib
import json
from contextlib import suppress
from pathlib import Path
from typing import Any

from alertlang.findings.errors import AlertlangError
from alertlang.fleet.log import LogResult, as_data, from_data
from alertlang.text.write_file import NEW, is_trace, put

_KIND = "alertlang fleet"
_MARKER = "fleet.json"
_FORMAT = 1


class FleetError(AlertlangError, ValueError):
    """A fleet that cannot be gone through, in words, with the way out."""

    def __init__(self, message: str, advice: str = "") -> None:
        self.message = message
        self.way_out = advice
        super().__init__(f"{message}; {advice}" if advice else message)


class Store:
    """The results in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.done = folder / "done"

    def open(self) -> None:
        """Makes the folder, or sees that it is one of these. FleetError if not."""
        marker = self.folder / _MARKER
        try:
            if self.folder.exists() and not self.folder.is_dir():
                raise FleetError(f"{self.folder} is no folder", "name a folder for the results")
            if marker.is_file():
                _known(marker)
            elif self.folder.is_dir() and not all(is_trace(path.name, _MARKER) for path in self.folder.iterdir()):
                way_out = "name a new or empty folder, or one of an earlier fleet"
                raise FleetError(f"{self.folder} holds something else than results of a fleet", way_out)
            # What says whose the folder is comes first: a run that was cut off before that has left nothing else.
            self.folder.mkdir(parents=True, exist_ok=True)
            if not marker.is_file():
                said = {"kind": _KIND, "format": _FORMAT}
                put(marker, (json.dumps(said, indent=2) + "\n").encode("ascii"))
            self.done.mkdir(exist_ok=True)
        except OSError as problem:
            raise _cannot_write(self.folder, problem) from None

    def path(self, key: str) -> Path:
        return self.done / f"{key}.json"

    def get(self, key: str) -> LogResult | None:
        """What is kept under a key; none if there is nothing, or not all of what was written."""
        try:
            data = self.path(key).read_bytes()
        except OSError:
            return None
        return unpacked(data)

    def put(self, key: str, packed: bytes) -> None:
        """FleetError if it cannot be written."""
        try:
            put(self.path(key), packed)
        except OSError as problem:
            raise _cannot_write(self.folder, problem) from None

    def write(self, name: str, data: bytes) -> Path:
        """One of the files beside `done`. FleetError if it cannot be written."""
        path = self.folder / name
        try:
            put(path, data)
        except OSError as problem:
            raise _cannot_write(self.folder, problem) from None
        return path

    def tidy(self) -> None:
        """Takes away what a start that was killed has left half written, once the log itself is finished."""
        with suppress(OSError):
            for path in sorted(self.done.iterdir()):
                if path.name.endswith(NEW) and self.path(path.name.removeprefix(".").split(".")[0]).is_file():
                    with suppress(OSError):
                        path.unlink()


def packed(kept: LogResult) -> bytes:
    """What is kept of a log as the bytes of its file."""
    body = json.dumps(as_data(kept), ensure_ascii=False)
    return (json.dumps({"sum": _sum(body)}) + "\n" + body + "\n").encode("utf-8")


def unpacked(data: bytes) -> LogResult | None:
    """None for bytes that are not, or not wholly, what `packed` gave."""
    try:
        head, body, rest = data.decode("utf-8").split("\n")
        if rest or json.loads(head) != {"sum": _sum(body)}:
            return None
        return from_data(json.loads(body))
    except (ValueError, KeyError, TypeError):
        return None


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode("utf-8")).hexdigest()


def _known(marker: Path) -> None:
    try:
        said: Any = json.loads(marker.read_bytes())
    except ValueError:
        said = None
    if not isinstance(said, dict) or said.get("kind") != _KIND:
        raise FleetError(f"{marker} is not that of a fleet", "name another folder for the results")
    if said.get("format") != _FORMAT:
        way_out = "install that version, or name another folder"
        raise FleetError(f"{marker.parent} was made by another version of alertlang", way_out)


def _cannot_write(folder: Path, problem: OSError) -> FleetError:
    why = (problem.strerror or str(problem)).lower()
    way_out = "make room and start again: what is finished stays finished"
    return FleetError(f"nothing can be written to {folder}: {why}", way_out)
