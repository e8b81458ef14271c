"""A new file of a library."""

from __future__ import annotations

from pathlib import Path

from alertlang.library.store import write_new


def test_it_is_told_whether_the_file_is_new(tmp_path: Path) -> None:
    assert write_new(tmp_path / "a", b"first") is True
    assert write_new(tmp_path / "a", b"second") is False
    assert (tmp_path / "a").read_bytes() == b"first"
