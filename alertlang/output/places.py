"""How files are named in what other programs read."""

from __future__ import annotations

import os


def relative(path: str, folder: str) -> str:
    """A path as it was given, with `/` between its parts; one that is absolute is told from `folder` (absolute too),
    so that nothing more of the machine gets into what is handed on."""
    if os.path.isabs(path):
        try:
            path = os.path.relpath(path, folder)
        except ValueError:
            # On another drive there is no way from one to the other.
            path = os.path.basename(path)
    return path.replace(os.sep, "/")
