"""Pages of what goes wrong within a statement: its form, its names, its values."""

from __future__ import annotations

_SYNTAX = """\
A statement that is not formed as the language asks.

## What it finds

A word that cannot stand where it does, a word that is missing, a text that is not closed, an indented line
that continues nothing, and a name with capitals or that is a word of the language.

## Why it matters

A statement that cannot be read has no meaning, and a guess could be the wrong limit.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm over 2750 rpm is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    rpm above 2750 rpm is red

## How it is decided

Each statement is read by itself against the grammar, so one mistake does not hide the next. Names that a
broken statement would have given are not reported again where they are used.

## What it cannot see

A second mistake in the same statement: it comes to light when the first is mended.
"""

_STRAY_CHARACTER = """\
A character that the language does not have.

## What it finds

A curved quote, a long dash, a sign such as `≤`, a tab, a space that is no plain space, or any other letter or
sign outside texts and comments. Inside a text: a character that cannot be seen.

## Why it matters

They come along when a line is pasted from a manual or a word processor, and look right or are not seen at
all. Such a dash before a number may be a minus, or may mean "to".

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    oil_temp ≤ 240 F is green
    oil_temp above 240 F is red

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## How it is decided

By looking at each character before anything else is read. Only the first one of a statement is reported.

## What it cannot see

A plain character that is wrong: the letter O for the digit 0 gives another finding, or none in a text.
"""

_UNKNOWN_NAME = """\
A name that nothing has.

## What it finds

A quantity, switch, position, condition, source or curve that is used and not declared; an `accept` of a check
or a statement that does not exist; an `engine` fact that is not known. The nearest name is offered.

## Why it matters

A rule about a name that is not there watches nothing.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    oil_temp at most 240 F is green
    oil_tmp above 240 F is red

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## How it is decided

By looking the name up in the file and in all it uses; a source only in the file that cites it. While a used
file is missing no name is reported, because that file may declare it.

## What it cannot see

A name that exists and is not the one you meant.
"""

_WRONG_DIMENSION = """\
A unit that measures another kind of thing.

## What it finds

A value whose unit cannot be turned into the unit of the quantity it is compared with: degrees for a pressure,
knots for an engine speed, a unit on a plain number.

## Why it matters

Either the number belongs to another quantity, or the unit is wrong and with it the limit.

## Example

    rules "example" version 1
    quantity oil_pressure "Oil pressure" from 0 to 120 psi, step 1 psi
    oil_pressure below 25 F is red
    oil_pressure at least 25 psi is green

## Corrected

    rules "example" version 1
    quantity oil_pressure "Oil pressure" from 0 to 120 psi, step 1 psi
    oil_pressure below 25 psi is red
    oil_pressure at least 25 psi is green

## How it is decided

Each unit has one dimension, and both sides must have the same.

## What it cannot see

A wrong unit of the right kind, such as kt for mph. A number without a unit: it counts as in the quantity's
own.
"""

_DUPLICATE_NAME = """\
A name or a label that is taken already.

## What it finds

A second declaration of a name, a second statement with the same label, a switch with one position twice, and
a quantity that two files declare differently.

## Why it matters

Which of the two is meant would depend on the order of the files.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    normal_speed: rpm at most 2750 rpm is green
    normal_speed: rpm above 2750 rpm is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    normal_speed: rpm at most 2750 rpm is green
    overspeed: rpm above 2750 rpm is red

## How it is decided

By comparing names over all files of the rule set. Names of sources are compared within one file. A quantity
or a switch may be declared again in another file if both declarations agree.

## What it cannot see

Two names for one thing.
"""

_UNKNOWN_UNIT = """\
A unit that is not known.

## What it finds

A word after a number that could be a unit and is none of the units of the language. The nearest is offered.

## Why it matters

A number without a known unit cannot be compared with any other.

## Example

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 degF, step 1 F
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## Corrected

    rules "example" version 1
    quantity oil_temp "Oil temperature" from -40 to 300 F, step 1 F
    oil_temp at most 240 F is green
    oil_temp above 240 F is red

## How it is decided

By looking the word up in the table of units. Capitals count, as they do in the table.

## What it cannot see

A unit that is known and is not the one in the manual.
"""

_MISSING_SOURCE = """\
A limit or a range that does not say where its numbers come from.

## What it finds

A `limit`, `avoid`, `precaution` or `normal` statement without a `source` clause.

## Why it matters

A limit that nobody can look up cannot be reviewed. If it is only common practice or remembered, the source
can say just that.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2680 rpm
    rpm at most 2680 rpm is green
    rpm above 2680 rpm is red

## Corrected

    rules "example" version 1
    source SHEET "Limits sheet of the invented Osier, page 3, revision 2"
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    limit rpm at most 2680 rpm, source SHEET
    rpm at most 2680 rpm is green
    rpm above 2680 rpm is red

## How it is decided

By looking; the source must be declared in the same file.

## What it cannot see

Whether the document says so.
"""

_BAD_VALUE = """\
A value that makes no sense in its place.

## What it finds

A range that runs from a higher to a lower value, a step that is not more than 0, a switch with one position,
an element that an array does not have, an empty text or reason, a day that no calendar has, a clause that is
said twice, and conditions that define each other in a circle.

## Why it matters

The statement is well formed and says nothing, or not what was meant. Two numbers that changed places would
make a band that no value is in.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2550 rpm is green
    rpm from 2750 to 2550 rpm is yellow
    rpm above 2750 rpm is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm below 2550 rpm is green
    rpm from 2550 to 2750 rpm is yellow
    rpm above 2750 rpm is red

## How it is decided

By exact comparison of the numbers; for conditions by following what each of them reads.

## What it cannot see

A value that makes sense and is wrong. A number beyond the sensor's range: see beyond-sensor.
"""

_WRONG_KIND = """\
A name of another kind than must stand here.

## What it finds

A quantity where a condition must stand, a condition where a quantity must stand, and so on; an array without
`any` or `every`; `any` or `every` with a single value; a `use` of rules as a profile, or the other way round;
a display where rules or a profile are asked for.

## Why it matters

`when cht` has no meaning, and `when cht above 400` on four cylinders has two: any of them, or all of them.

## Example

    rules "example" version 1
    quantity cht[4] "Cylinder head temperature" from 0 to 600 F, step 1 F
    cht at most 400 F is green
    cht above 400 F is red
    when cht above 400 F then warning "CHT HIGH"

## Corrected

    rules "example" version 1
    quantity cht[4] "Cylinder head temperature" from 0 to 600 F, step 1 F
    cht at most 400 F is green
    cht above 400 F is red
    when any cht above 400 F then warning "CHT HIGH"

## How it is decided

By looking up how the name is declared; for a file, by its header.

## What it cannot see

`any` where `every` was meant.
"""

_BAD_CHANGE = """\
A change of a statement that is not inherited from rules.

## What it finds

A `replace` or `drop` of a label that no used rules file has: one of this file, one of a profile, one that is
dropped or replaced already, one of a file that this one does not use, or none at all.

## Why it matters

What is true of the engine does not change with the panel, so a profile's limit stands. And a change that hits
nothing leaves the old rule in force.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    overspeed: rpm above 2750 rpm is yellow
    replace overspeed: rpm above 2750 rpm is red

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 rpm is green
    overspeed: rpm above 2750 rpm is red

## How it is decided

By looking where the labelled statement stands, and whether this file uses that file.

## What it cannot see

Whether the change is a good one. The checks look at what it leads to.
"""

READING: dict[str, str] = {
    "syntax": _SYNTAX,
    "stray-character": _STRAY_CHARACTER,
    "unknown-name": _UNKNOWN_NAME,
    "wrong-dimension": _WRONG_DIMENSION,
    "duplicate-name": _DUPLICATE_NAME,
    "unknown-unit": _UNKNOWN_UNIT,
    "missing-source": _MISSING_SOURCE,
    "bad-value": _BAD_VALUE,
    "wrong-kind": _WRONG_KIND,
    "bad-change": _BAD_CHANGE,
}
