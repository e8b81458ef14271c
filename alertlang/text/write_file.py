"""Writing files: all of a file or nothing of it, and over nothing that somebody may want.

What a command makes is written with `save`. Where its format has room for a comment, a mark with a digest of the rest
says whether anybody changed it since, and only what nobody changed is replaced without being asked for; where it has
none (tables, pictures of dots), only what is the same to the byte.
"""

from __future__ import annotations

import errno
import os
import stat
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

NEW = ".new"
"""How the name of a file ends that is to take another one's place. It begins with a full stop and that one's name."""

_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


def write_whole(path: Path, data: bytes) -> None:
    """Puts `data` in the place of what a file holds, in one step: whoever reads it, and whatever breaks in between,
    finds the old content or the new one. A link is followed, permissions are kept. OSError if it cannot be done."""
    target = Path(os.path.realpath(path))
    put(target, data, _mode(target))


def save(path: Path, data: bytes, *, force: bool = False, room: str | None = None) -> None:
    """Writes what was made, with a mark if there is room for one. KeptError if there is a file that is not to be
    replaced, unless `force`; OSError if it cannot be written. `room`: the kind of comment that the format has, by the
    file's ending if it is not given."""
    data = marked(data, room or _ROOM.get(path.suffix.lower(), ""))
    why = kept(path, force=force, data=data, room=room)
    if why is not None:
        raise KeptError(errno.EEXIST, why)
    put(path, data, _mode(path))


def kept(path: Path, *, force: bool = False, data: bytes | None = None, room: str | None = None) -> str | None:
    """Why what is there is not replaced, none if nothing is there or it may be. `data`: what is to take its place; not
    known before long work, and then a file of a format without room for a mark is given the benefit of the doubt."""
    if path.is_symlink():
        return f"it is a link to {os.readlink(path)!r}: name that file itself, or another one"
    if force or not path.is_file():
        return None
    room = room or _ROOM.get(path.suffix.lower(), "")
    if not room and data is None:
        return None
    there = path.read_bytes()
    if there == data or (room and is_marked(there, room)):
        return None
    whose = "it was changed since it was made, or is not of this tool" if room else "it is there already"
    return f"{whose}: name another file, or give --force to replace it"


class KeptError(FileExistsError):
    """A file that is not replaced without being asked for."""


_ROOM = {
    ".html": "<!--",
    ".svg": "<!--",
    ".pdf": "%",
    ".alert": "#",
    ".profile": "#",
    ".scenario": "#",
    ".toml": "#",
    ".smt2": ";",
    ".json": "{",
}
"""The kind of comment that a format has, by the endings of its files; "{" is a first member of a JSON object."""

_SAYS = "made by alertlang; replaced as long as nobody changes it: sha256 "


def marked(data: bytes, room: str) -> bytes:
    """The same with a mark; unchanged where there is no room for one."""
    place = _place(data, room)
    if place is None:
        return data
    return data[:place] + _mark(data, room) + data[place:]


def is_marked(data: bytes, room: str) -> bool:
    """Whether a text has a mark and is as it was when it got it."""
    first = data.rfind(f"{_OPENS[room]}{_SAYS}".encode())
    end = data.find(b"\n", first) + 1
    return first >= 0 and end > 0 and marked(data[:first] + data[end:], room) == data


_OPENS = {"<!--": "<!-- ", "%": "% ", "#": "# ", ";": "; ", "{": '  "mark": "'}
_CLOSES = {"<!--": " -->", "{": '",'}


def _mark(data: bytes, room: str) -> bytes:
    return f"{_OPENS[room]}{_SAYS}{sha256(data).hexdigest()}{_CLOSES.get(room, '')}\n".encode()


def _place(data: bytes, room: str) -> int | None:
    """Where a mark stands: at the end, in a JSON object first, and in a PDF before what says where its table is, for
    there no place in the file moves."""
    match room:
        case "":
            return None
        case "{":
            return 2 if data.startswith(b"{\n") else None
        case "%":
            place = data.rfind(b"startxref")
            return place if place >= 0 else None
        case _:
            return len(data) if data.endswith(b"\n") else None


def put(target: Path, data: bytes, mode: int | None = None, new: bool = False) -> None:
    """The same without a look at what is there: it is replaced, whatever it is; with `new` FileExistsError instead.
    `mode`: the permissions it is to have."""
    # In the same folder, for only there can it take the other's place in one step. Nobody else's file has this name, so
    # it is taken away wherever a Ctrl-C comes, even before it is known to be there. Not from `tempfile`: that makes
    # files that nobody else may read, and keeps them so.
    beside = target.with_name(f".{target.name}.{os.urandom(6).hex()}{NEW}")
    access = 0o666 if mode is None else stat.S_IMODE(mode)
    try:
        descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), access)
        with os.fdopen(descriptor, "wb") as opened:
            opened.write(data)
            opened.flush()
            os.fsync(opened.fileno())
        if mode is not None:
            os.chmod(beside, stat.S_IMODE(mode))
        if new:
            _rename_new(beside, target)
        else:
            os.replace(beside, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


def _rename_new(beside: Path, target: Path) -> None:
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links, as on a memory stick.
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, "it is there already") from None
        os.replace(beside, target)
    else:
        os.unlink(beside)


def refusal(path: Path, *, force: bool = False, room: str | None = None) -> str | None:
    """Why `save` would not write `path` if it were tried now, none if nothing speaks against it: to be asked before
    long work."""
    target = Path(os.path.realpath(path))
    if not target.parent.is_dir():
        return f"there is no folder {target.parent}"
    try:
        _mode(target)
        if not os.access(target.parent, os.W_OK | os.X_OK):
            raise PermissionError(errno.EACCES, "its folder may not be written")
        return kept(path, force=force, room=room)
    except OSError as problem:
        return reason(problem)


def is_trace(name: str, of: str) -> bool:
    """Whether a file is what a run that was killed left of one in the making, of this name."""
    return name.startswith(f".{of}.") and name.endswith(NEW)


def _mode(target: Path) -> int | None:
    """The mode of a file that may be replaced, none if there is none yet."""
    try:
        mode = os.stat(target).st_mode
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(mode):
        raise OSError(errno.EISDIR, "it is a folder")
    if not stat.S_ISREG(mode):
        # A device or a pipe would be gone, and a file in its place.
        raise OSError(errno.EINVAL, "it is no plain file")
    # To replace a file asks for the folder's permission alone; whoever made it read-only meant it.
    if not mode & _WRITABLE or not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "it may not be written")
    return mode


def reason(problem: OSError) -> str:
    """Why a file could not be used, in words."""
    return problem.strerror.lower() if problem.strerror else str(problem)
