"""Bytes and files: what is no text says so, with the place where there is one."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

import pytest

from alertlang.findings.finding import Finding
from alertlang.syntax.read import LARGEST_FILE, read_bytes, read_file
from alertlang.text.source import Source

GOOD = 'rules "t" version 1\nabout "x"\n'


@pytest.mark.parametrize(
    "data",
    [
        GOOD.encode(),
        GOOD.rstrip("\n").encode(),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
    ],
    ids=["plain", "no last line end", "CRLF", "old Mac", "byte order mark"],
)
def test_line_ends_and_byte_order_mark_make_no_difference(data: bytes) -> None:
    source = read_bytes(data, "t.alert")
    assert isinstance(source, Source)
    assert source.text.rstrip("\n") == GOOD.rstrip("\n")
    assert source.line_column(source.text.index("about")) == (2, 1)


def _unreadable(found: Source | Finding, message: str, advice: str) -> Finding:
    assert isinstance(found, Finding)
    assert found.code.code == "AL101"
    assert found.path == "t.alert"
    assert message in found.message
    assert advice in " ".join(found.advice)
    return found


@pytest.mark.parametrize(
    ("data", "place", "byte"),
    [
        (b'rules "t" version 1\nabout "caf\xe9"\n', (2, 11), "0xE9"),
        (b'rules "t" version 1\r\nabout "caf\xe9"\r\n', (2, 11), "0xE9"),
        (b'rules "t" version 1\rabout "caf\xe9"\r', (2, 11), "0xE9"),
        ("about \u2013 \u2013".encode() + b"\xff", (1, 10), "0xFF"),
        (b"\xef\xbb\xbfabc\xff", (1, 4), "0xFF"),
        (b"ab\xe2\x82", (1, 3), "0xE2"),
        (b"\xed\xa0\x80", (1, 1), "0xED"),
    ],
)
def test_not_utf8_names_the_byte_and_its_place(data: bytes, place: tuple[int, int], byte: str) -> None:
    found = _unreadable(read_bytes(data, "t.alert"), f"not UTF-8: byte {byte}", "save the file as UTF-8")
    assert found.where is not None
    assert (found.where.line, found.where.column) == place
    assert found.where.text == "\ufffd"
    assert found.where.source.line_text(place[0]).rstrip() != ""


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_encodings(encoding: str) -> None:
    _unreadable(read_bytes(GOOD.encode(encoding), "t.alert"), "", "UTF-8")


def test_utf16_is_called_by_its_name() -> None:
    _unreadable(read_bytes(GOOD.encode("utf-16"), "t.alert"), "UTF-16, not UTF-8", "save the file as UTF-8")


def test_binary() -> None:
    _unreadable(read_bytes(bytes(range(256)), "t.alert"), "not a text file", "")


def test_too_large_is_said_at_once(tmp_path: Path) -> None:
    large = tmp_path / "large.alert"
    large.write_bytes(b"#" * 10_000_000)
    start = time.process_time()
    _unreadable(read_file(large, "t.alert"), "too large", "the file you meant")
    _unreadable(read_bytes(b"#" * 10_000_000, "t.alert"), "too large", "the file you meant")
    assert time.process_time() - start < 0.5
    assert isinstance(read_bytes(b"#" * LARGEST_FILE, "t.alert"), Source)


def test_a_pipe_is_read_no_further_than_needed(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writer = threading.Thread(target=lambda: pipe.write_bytes(GOOD.encode()))
    writer.start()
    source = read_file(pipe, "t.alert")
    writer.join()
    assert isinstance(source, Source)
    assert source.text == GOOD
    if Path("/dev/zero").exists():
        _unreadable(read_file(Path("/dev/zero"), "t.alert"), "too large", "")


def test_missing_folder_and_impossible_names(tmp_path: Path) -> None:
    _unreadable(read_file(tmp_path / "none.alert", "t.alert"), "no such file", "spelling")
    _unreadable(read_file(tmp_path, "t.alert"), "a folder, not a file", "the file inside it")
    _unreadable(read_file(tmp_path / ("n" * 5_000), "t.alert"), "could not be read", "check the path")
    _unreadable(read_file(tmp_path / "a\0b", "t.alert"), "could not be read", "check the path")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    _unreadable(read_file(tmp_path / "loop", "t.alert"), "could not be read", "check the path")


def test_message_of_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", refuse)
    _unreadable(read_file(tmp_path / "closed.alert", "t.alert"), "may not be read", "permission")
