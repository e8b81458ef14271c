"""Cells of a table: a spreadsheet runs what begins like a formula, and so must begin nothing that others wrote."""

from __future__ import annotations

import re

# The last four are the wide forms, which some take for the same. An apostrophe, since one is put before the others.
_RUNS = ("=", "+", "-", "@", "\t", "\r", "'", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_NUMBER = re.compile(r"[-+]?[0-9]+([.,][0-9]+)?([eE][-+]?[0-9]+)?")


def guarded(text: str) -> str:
    """The same with an apostrophe before what a spreadsheet would run; a number alone is left as it is."""
    return "'" + text if text.startswith(_RUNS) and not _NUMBER.fullmatch(text) else text


def unguarded(cell: str) -> str:
    """What was written in a cell, whether it was guarded or not."""
    return cell.removeprefix("'")
