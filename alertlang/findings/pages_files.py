"""Pages of what goes wrong with a file as a whole: to find it, to read it, and what may stand in it."""

from __future__ import annotations

_UNREADABLE_FILE = """\
A file that is not there, may not be opened, or is not plain text.

## What it finds

A file that does not exist, a folder in the place of a file, a file that may not be opened, a file over 4 MiB,
and a file whose bytes are not UTF-8 text.

## Why it matters

Nothing in the file is checked. A letter that is guessed could be part of a number, so nothing is guessed.

## Example

The file is saved as UTF-16, which some editors call "Unicode". It looks right on the screen.

    rules "osier" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## Corrected

The same text, saved as UTF-8.

    rules "osier" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## How it is decided

By reading the bytes. A byte order mark before UTF-8 is let through, and line ends of all systems are.

## What it cannot see

A file that is UTF-8 and has the wrong letters in it, because it was converted wrongly before.
"""

_MISSING_FILE = """\
A used file is nowhere to be found.

## What it finds

A `use profile` or `use rules` whose file is in none of the folders that are searched, and a name that has a
folder in it. The finding lists the folders.

## Why it matters

The limits that the file holds would not be checked, and a rule set without limits passes easily.

## Example

The file `osier-engine.profile` lies in the same folder. It declares rpm and states no limits.

    rules "osier" version 1
    use profile "osier-engnie"
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## Corrected

The folder is the same.

    rules "osier" version 1
    use profile "osier-engine"
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## How it is decided

By looking in the folder of the file that says `use`, then in its folder `profiles` or `rules`, for rules in
the folder above, then in the folders given with `--path`, and for profiles last among those that come with
the tool. The first file found is taken.

## What it cannot see

That the file found is not the one you meant: an older copy in a folder that is searched earlier.
"""

_CIRCULAR_USE = """\
Files use each other in a circle.

## What it finds

A `use` of a file that is being read already, because it uses this one: directly, or through other files.

## Why it matters

Statements of a used file come before those of its user. In a circle no file comes first, so it is not clear
which file may change the statements of which.

## Example

This is `osier-gauges.alert`. Beside it lies `osier.alert`, the file to check, which says
`use rules "osier-gauges"`.

    rules "osier-gauges" version 1
    use rules "osier"
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## Corrected

The other file is as before.

    rules "osier-gauges" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## How it is decided

By following each `use` to the file itself, so that two paths to one file are seen to be the same.

## What it cannot see

Two files with the same content under different names.
"""

_MISPLACED_STATEMENT = """\
A statement that may not stand in this kind of file, or not in this place.

## What it finds

A file without a header, a header that is not the first statement, a second header, `use rules` in a profile,
and a band, an alert, a claim or a change in a profile. In a display, whatever does not say what it can hold;
and what says that, in any other file.

## Why it matters

The header says what the file is, and so what may stand in it. A profile says what is true of the aircraft and
is used by many panels. If it held bands too, each panel would show them without a word. A display says what a
box can hold, whatever is shown on it.

## Example

    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## How it is decided

By looking at the kind of each statement, its place, and the kind of its file.

## What it cannot see

A limit that stands in a file of rules and belongs in the profile: both are allowed.
"""

_NAME_MISMATCH = """\
A used file calls itself something else.

## What it finds

A file that is found under the name in a `use` and has another name in its header. A warning: the file is
taken in and checked.

## Why it matters

A profile that was copied and given a new file name, but not a new header, may be the wrong one. Its findings
and its printed page carry the name of another engine.

## Example

This is `osier-engine.profile`. The file to check says `use profile "osier-engine"` and has the bands.

    profile "willow-engine" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm

## Corrected

    profile "osier-engine" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm

## How it is decided

By comparing the name in the header with the name after `use`, letter by letter.

## What it cannot see

The name of the file that you ask to be checked: only used files are compared. A wrong content under the
right name.
"""

FILES: dict[str, str] = {
    "unreadable-file": _UNREADABLE_FILE,
    "missing-file": _MISSING_FILE,
    "circular-use": _CIRCULAR_USE,
    "misplaced-statement": _MISPLACED_STATEMENT,
    "name-mismatch": _NAME_MISMATCH,
}
