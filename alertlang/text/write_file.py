"""Writing files: all of a file or nothing of it."""

from __future__ import annotations

import errno
import os
import stat
from contextlib import suppress
from pathlib import Path

NEW = ".new"
"""How the name of a file ends that is to take another one's place. It begins with a full stop and that one's name."""

_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


def write_whole(path: Path, data: bytes) -> None:
    """Puts `data` in the place of what a file holds, in one step: whoever reads it, and whatever breaks in between,
    finds the old content or the new one. A link is followed, permissions are kept. OSError if it cannot be done."""
    target = Path(os.path.realpath(path))
    put(target, data, _mode(target))


def put(target: Path, data: bytes, mode: int | None = None, new: bool = False) -> None:
    """The same without a look at what is there: it is replaced, whatever it is; with `new` FileExistsError instead.
    `mode`: the permissions it is to have."""
    beside, descriptor = _open_beside(target, 0o666 if mode is None else stat.S_IMODE(mode))
    try:
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


def refusal(path: Path) -> str | None:
    """Why `path` could not be written if it were tried now, none if nothing speaks against it: to be asked before long
    work. Makes a file beside it for a moment, as writing would, and leaves nothing."""
    target = Path(os.path.realpath(path))
    if not target.parent.is_dir():
        return f"there is no folder {target.parent}"
    try:
        _mode(target)
        beside, descriptor = _open_beside(target)
    except OSError as problem:
        return reason(problem)
    os.close(descriptor)
    with suppress(OSError):
        os.unlink(beside)
    return None


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


def _open_beside(target: Path, mode: int = 0o666) -> tuple[Path, int]:
    """A new file in the same folder, for only there can it take the other's place in one step."""
    number = 0
    while True:
        beside = target.with_name(f".{target.name}.{os.getpid()}-{number}{NEW}")
        try:
            # Not from `tempfile`: that makes files that nobody else may read, and keeps them so.
            return beside, os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
        except FileExistsError:
            number += 1


def reason(problem: OSError) -> str:
    """Why a file could not be used, in words."""
    return problem.strerror.lower() if problem.strerror else str(problem)
