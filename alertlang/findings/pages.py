"""The pages of the findings that are no checks: those of reading a file, and the note on accepted exceptions.

The page of a check is the docstring of its module.
"""

from __future__ import annotations

from alertlang.findings.pages_files import FILES
from alertlang.findings.pages_reading import READING

_STALE_ACCEPTANCE = """\
An accepted exception that does nothing any more, or whose end needs a look.

## What it finds

An `accept` statement for which one of these is so:

- the finding that it names is not there (any more);
- it has an end (`until`) before the day given by `--today`, so that what it accepted counts again;
- it has an end and no `--today` was given, so that nobody looked whether the end has passed.

## Why it matters

An exception outlives the reason for it. If the same finding comes back one day, for another reason, the old
exception hides it. A note, not a fault.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    accept gap on rpm because "the range from 2500 to 2550 rpm is shown by a light"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red

## How it is decided

After all checks, each exception is laid beside their findings. It fits those of its check that are about the
thing it names: the quantity, the limit, or the statement at fault. Days are compared, and no clock is read.

## What it cannot see

Whether the reason is still true. An exception for one gap of a quantity also accepts the next gap of it.
"""

PAGES: dict[str, str] = {**FILES, **READING, "stale-acceptance": _STALE_ACCEPTANCE}
"""The page of each such finding, by its name."""
