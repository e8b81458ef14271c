"""Bytes to text: what cannot be a rule file says so here, before anything else looks at it."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from alertlang.findings.finding import Finding, finding
from alertlang.text.source import Source, Span

# Ten times the size of a rule set of 6,000 bands: beyond it something else was named by mistake.
LARGEST_FILE = 4 * 1024 * 1024


def read_file(path: Path, shown: str) -> Source | Finding:
    """The text of a file, or why there is none. `shown` is the path as findings name it."""
    try:
        if path.is_dir():
            return _unreadable(shown, "this is a folder, not a file", "name the file inside it")
        with path.open("rb") as opened:
            # No more than needed to know: the size of a pipe or a device is not told beforehand.
            data = opened.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        return _unreadable(shown, "there is no such file", "check the spelling and the folder")
    except PermissionError:
        return _unreadable(shown, "the file may not be read", "ask for permission to read it")
    except (OSError, ValueError) as problem:
        return _unreadable(shown, f"the file could not be read ({_reason(problem)})", "check the path")
    return read_bytes(data, shown)


def read_bytes(data: bytes, shown: str) -> Source | Finding:
    """The text of some bytes, or why there is none."""
    if len(data) > LARGEST_FILE:
        return _unreadable(
            shown,
            f"the file is too large to be rules: at most {LARGEST_FILE // 2**20} MB are read",
            "split it with `use rules`, or check that this is the file you meant",
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _unreadable(shown, "the file is UTF-16, not UTF-8", "save the file as UTF-8 in your editor")
    if b"\x00" in data:
        return _unreadable(
            shown,
            "this is not a text file (it holds zero bytes)",
            "rules are plain UTF-8 text; if a text editor wrote it as UTF-16, save it as UTF-8",
        )
    digest = sha256(data).hexdigest()
    # A byte order mark says nothing in UTF-8; editors on some systems write one.
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        return Source(shown, _one_line_end(data.decode("utf-8")), digest)
    except UnicodeDecodeError as problem:
        before = len(_one_line_end(data[: problem.start].decode("utf-8")))
        place = Source(shown, _one_line_end(data.decode("utf-8", errors="replace")))
        return finding(
            "unreadable-file",
            f"the file is not UTF-8: byte 0x{data[problem.start]:02X} cannot stand here",
            Span(place, before, before + 1),
            advice=("save the file as UTF-8 in your editor",),
        )


def _one_line_end(text: str) -> str:
    """One kind of line ending inside the house; a lone carriage return is a line ending of old systems."""
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _unreadable(shown: str, message: str, advice: str) -> Finding:
    return finding("unreadable-file", message, None, path=shown, advice=(advice,))


def _reason(problem: Exception) -> str:
    return problem.strerror.lower() if isinstance(problem, OSError) and problem.strerror else str(problem)
