"""Text of others on a screen: what would steer a terminal, or begin a line of its own, is shown and not obeyed."""

from __future__ import annotations

import re

# Controls of both kinds, what ends a line in Unicode, what turns the direction of writing, and bytes of a file name
# that are no text.
_STEERS = re.compile("[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


def visible(text: str) -> str:
    """The same on one line: a line end as `\\n`, an escape as `\\x1b`, a byte that is no text as `\\xff`."""
    return _STEERS.sub(lambda one: _escape(one[0]), text) if _STEERS.search(text) else text


def _escape(letter: str) -> str:
    number = ord(letter)
    if 0xDC80 <= number <= 0xDCFF:  # a byte that could not be read as text
        return f"\\x{number - 0xDC00:02x}"
    return {"\n": "\\n", "\r": "\\r", "\t": "\\t"}.get(letter) or (
        f"\\x{number:02x}" if number < 0x100 else f"\\u{number:04x}"
    )
