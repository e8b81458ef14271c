"""What every check says of the example on its page, word for word.

Where a check says something else now, this writes it into messages.txt (look at the difference before you keep it):

    python -m tests.checks.test_messages
"""

from __future__ import annotations

import difflib
import tempfile
from pathlib import Path

from alertlang.findings.codes import CODES
from alertlang.findings.finding import Finding
from tests.checks import test_pages as on_pages

GOLDEN = Path(__file__).with_name("messages.txt")


def said(one: Finding) -> str:
    """A finding as text: where, what, the way out. Each field on a line of its own, whatever its length."""
    place = f"line {one.where.line} column {one.where.column}" if one.where else "the file"
    lines = [f"{one.severity.word} at {place}: {one.message}"]
    if one.suggestion is not None:
        word = "add" if one.suggestion.replaces is None else "change to"
        lines.append(f"{word}: {one.suggestion.text}")
    lines += [f"note: {advice}" for advice in one.advice]
    return "".join(f"  {line}\n" for line in lines)


def messages() -> str:
    """The findings of each check, in the order of the codes."""
    parts: list[str] = []
    for code in CODES.values():
        if code.reading:
            continue
        with tempfile.TemporaryDirectory() as folder:
            findings = on_pages.findings_of(code.name, "Example", Path(folder))
        own = [said(one) for one in findings if one.code is code]
        assert own, code.name
        parts.append(f"{code.code} {code.name}\n" + "".join(own))
    return "\n".join(parts)


def test_every_message_is_as_it_was() -> None:
    told, now = GOLDEN.read_text(encoding="utf-8").splitlines(), messages().splitlines()
    difference = "\n".join(difflib.unified_diff(told, now, "told", "now", lineterm="", n=1))
    assert not difference, f"`python -m tests.checks.test_messages` writes what is said now:\n{difference}"


def test_every_check_has_its_message() -> None:
    heads = [line for line in GOLDEN.read_text(encoding="utf-8").splitlines() if line.startswith("AL")]
    assert heads == [f"{code.code} {code.name}" for code in CODES.values() if not code.reading]


if __name__ == "__main__":
    GOLDEN.write_text(messages(), encoding="utf-8")
