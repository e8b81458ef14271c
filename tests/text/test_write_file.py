"""Writing all of a file or nothing of it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from alertlang.text.write_file import reason, write_whole


def test_a_new_file(tmp_path: Path) -> None:
    path = tmp_path / "new"
    write_whole(path, b"a\r\n")
    assert path.read_bytes() == b"a\r\n"
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert path.stat().st_mode == plain.stat().st_mode
    assert sorted(one.name for one in tmp_path.iterdir()) == ["new", "plain"]


def test_permissions_and_links_stay(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    path = tmp_path / "folder" / "real"
    path.write_bytes(b"old")
    path.chmod(0o640)
    link = tmp_path / "link"
    link.symlink_to(path)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("broken", ["fsync", "replace"])
def test_what_breaks_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, broken: str) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, broken, fail)
    with pytest.raises(OSError, match="No space") as caught:
        write_whole(path, b"new")
    assert reason(caught.value) == "no space left on device"
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_what_must_not_be_replaced(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"old")
    path.chmod(0o444)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for one in (path, pipe, tmp_path, tmp_path / "absent" / "file"):
        with pytest.raises(OSError):  # noqa: PT011 (each for a reason of its own)
            write_whole(one, b"new")
    assert path.read_bytes() == b"old"
    assert pipe.is_fifo()
    assert sorted(one.name for one in tmp_path.iterdir()) == ["file", "pipe"]


def test_a_file_in_the_way_is_left_alone(tmp_path: Path) -> None:
    other = tmp_path / f".file.{os.getpid()}-0.new"
    other.write_bytes(b"theirs")
    write_whole(tmp_path / "file", b"ours")
    assert other.read_bytes() == b"theirs"
