"""Writing all of a file or nothing of it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from alertlang.text.write_file import KeptError, is_marked, kept, marked, put, reason, refusal, save, write_whole


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


def test_a_ctrl_c_leaves_nothing_from_the_first_step_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    really = os.open

    def interrupted(*words: Any) -> int:
        really(*words)
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "open", interrupted)
    with pytest.raises(KeyboardInterrupt):
        put(tmp_path / "file", b"new")
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == []


TEXTS = {
    "<!--": b"<html>\n</html>\n",
    "#": b'rules "a" version 1\n',
    ";": b"(check-sat)\n",
    "{": b'{\n  "a": 1\n}\n',
    "%": b"%PDF-1.7\nxref\nstartxref\n9\n%%EOF\n",
}


@given(st.sampled_from(sorted(TEXTS)), st.binary(max_size=40), st.data())
def test_a_mark_tells_every_change(room: str, more: bytes, data: st.DataObject) -> None:
    text = TEXTS[room] if room == "{" else more + TEXTS[room]
    made = marked(text, room)
    assert is_marked(made, room)
    assert made.replace(text[-9:], b"").count(b"sha256") >= 1
    place = data.draw(st.integers(0, len(made) - 1))
    byte = data.draw(st.integers(0, 255).filter(lambda one: one != made[place]))
    assert not is_marked(made[:place] + bytes([byte]) + made[place + 1 :], room)
    assert not is_marked(made[:place] + bytes([byte]) + made[place:], room)
    assert not is_marked(text, room)


def test_where_a_mark_stands() -> None:
    assert marked(TEXTS["{"], "{").startswith(b'{\n  "mark": "made by alertlang')
    assert marked(TEXTS["%"], "%").index(b"% made by") == TEXTS["%"].index(b"startxref"), "nothing before it moves"
    assert marked(b"a,b\n", "") == b"a,b\n"
    assert marked(b"no line end", "#") == b"no line end"


def test_what_nobody_changed_is_replaced(tmp_path: Path) -> None:
    for ending in ("html", "svg", "alert", "toml", "smt2", "scenario", "profile"):
        path = tmp_path / f"a.{ending}"
        save(path, b"one\n")
        save(path, b"two\n")
        assert path.read_bytes().startswith(b"two\n")
        path.write_bytes(path.read_bytes() + b" ")
        for data in (b"three\n", b"two\n"):
            with pytest.raises(KeptError, match="changed since it was made, or is not of this tool"):
                save(path, data)
        assert refusal(path) == kept(path) is not None
        save(path, b"three\n", force=True)
        assert path.read_bytes().startswith(b"three\n")


def test_a_table_is_replaced_by_the_same_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    save(path, b"a,b\n")
    assert refusal(path) is None
    save(path, b"a,b\n")
    with pytest.raises(KeptError, match="there already"):
        save(path, b"a,c\n")
    assert path.read_bytes() == b"a,b\n"
    save(path, b"a,c\n", force=True)
    assert path.read_bytes() == b"a,c\n"


def test_never_through_a_link(tmp_path: Path) -> None:
    rules = tmp_path / "rules.alert"
    rules.write_bytes(b"mine\n")
    for name in ("link.alert", "link.csv", "dangling.html"):
        link = tmp_path / name
        link.symlink_to(rules if "link" in name else tmp_path / "nowhere")
        for force in (False, True):
            with pytest.raises(KeptError, match="it is a link to"):
                save(link, b"new\n", force=force)
        assert refusal(link, force=True)
    assert rules.read_bytes() == b"mine\n"
    assert not (tmp_path / "nowhere").exists()
