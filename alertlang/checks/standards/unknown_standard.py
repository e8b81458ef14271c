"""A `follow` names a rule, or a day, of which nothing is known.

## What it finds

A `follow` statement whose text is not the name of a rule, or of a paragraph, in this list; and one whose `as
of` names a day of which the text is not known. Behind each stands the amendment whose text is held against,
and the day from which on it is:

- 14 CFR 25.1549, paragraphs (a), (b), (c), (d): powerplant markings (Amdt 25-40, 1977-03-17)
- 14 CFR 27.1549, the same for small rotorcraft (Amdt 27-29, 1994-09-16). Since Amdt 27-51 (2023-02-10) (b)
  asks for a green or an unmarked range and no longer says that it ends at the limits (read second hand, in
  the edition of 1 January 2024); (a), (c) and (d) ask for the same as before
- 14 CFR 23.1549, the same for small aeroplanes (text not read, from memory)
- 14 CFR 23.1545, paragraphs (b)(1), (b)(2), (b)(3), (b)(4): airspeed markings (read in an edition of the
  1960s; later amendments not read)
- 14 CFR 91.205, paragraphs (b)(1) to (b)(10): instruments for flight under day visual rules (Amdt 91-309,
  2009-08-21)
- 14 CFR 27.1305, paragraphs (b) to (e) and (h) to (l), (n), (o): powerplant instruments of small rotorcraft
  (day not known)
- 14 CFR 25.1553, 29.1553, and 27.1553 (read second hand): fuel quantity markings (days not known)
- 14 CFR 25.1322, paragraphs (a)(3), (c)(2), (e): crew alerts (Amdt 25-131, 2011-01-03; (e): read second hand)
- 14 CFR 27.1322 (Amdt 27-11, 1976-12-20) and 23.1322 (Amdt 23-43, 1993-04-09): warning, caution and advisory
  lights
- MIL-STD-411F, paragraph 5.2.5.4: colours of messages (1997-03-10)

The rules of Part 23 in this list were taken out by Amdt 23-64, in force on 2017-08-30 (the day from memory).
Days are those on which an amendment was published; of 25.1322 it is the day on which it came into force.

A rule may be named as a whole or by paragraph: `follow "14 CFR 25.1549"`, `follow "25.1549(c)"`. Case,
blanks, section signs and what stands before the number (`14 CFR`, `FAR`) make no difference.

`follow "27.1549" as of 2001-05-10` holds against the text of that day, the one whose rules the aircraft was
approved under; without `as of` the text in force counts, of a rule that was taken out its last one. A day
before the earliest text known, after a rule was taken out, or after 2026-11-29 is an error: nothing would be
held against. Where the day is not known from which on a text held, the text counts for every day, and a note
says so.

## Why it matters

Who writes `follow` counts on the findings of that rule being errors. A name that is misspelt, or of a rule
that nothing looks at, would give a clean result that means nothing. So would a day of which no text is known.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    follow "14 CFR 25.1594"
    follow "14 CFR 27.1549" as of 1970-05-10

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    follow "14 CFR 25.1549"
    follow "14 CFR 27.1549" as of 2001-05-10

## How it is decided

By comparing with the list; no solver.

## What it cannot see

Whether the rule applies to the aircraft, which amendment does, and what else it asks for: of every rule in
the list only a part is looked at, and the page of each check says which. Nothing here says that a rule is
complied with. It is help in reading; the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from alertlang.checks.context import Context
from alertlang.checks.standards.published import (
    CLAUSES,
    KNOWN_TO,
    RULES,
    Clause,
    known,
    nearest_names,
    read_name,
    texts,
)
from alertlang.checks.standards.say import HELP
from alertlang.findings.codes import Severity
from alertlang.findings.finding import Finding, finding
from alertlang.model import ruleset as m
from alertlang.text.lists import listed

NAME = "unknown-standard"
NEEDS_STATE = False
_TODAYS = "take `as of` out: then the text in force counts, of a rule that was taken out its last one"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at."""
    return bool(ruleset.follows)


def check(context: Context) -> Iterator[Finding]:
    """Each `follow` that names nothing known."""
    for follow in context.ruleset.follows:
        named = known(follow.rule)
        if named is None:
            yield _nothing(follow)
        elif follow.as_of is not None:
            yield from _day(follow, follow.as_of, [clause for clause in CLAUSES if named.covers(clause)])


def _nothing(follow: m.Follow) -> Finding:
    named = read_name(follow.rule)
    if named is not None and named.rule in RULES:
        names = dict.fromkeys(clause.name for clause in CLAUSES if clause.rule == named.rule and clause.paragraph)
        what = f"of {named.rule} only {listed(names)} is looked at" if names else ""
        fact = f'nothing looks at the paragraph "{follow.rule}"' + (f": {what}" if what else "")
        advice = [f"name the rule as a whole: {named.rule}"]
    else:
        fact = f'nothing is known here of a rule "{follow.rule}", so nothing is held against it'
        close = nearest_names(follow.rule)
        advice = [f"did you mean {' or '.join(close)}?"] if close else []
    more = f"can be followed: {', '.join(RULES)}"
    return finding(NAME, f"{fact} ({HELP})", follow.span, advice=(*advice, more))


def _day(follow: m.Follow, day: str, named: list[Clause]) -> Iterator[Finding]:
    """What is not known of the texts of a day."""
    if day > KNOWN_TO:
        fact = f'what "{follow.rule}" asks for on {day} is not known here: its texts are known up to {KNOWN_TO}'
        yield finding(NAME, f"{fact} ({HELP})", follow.span, advice=(_TODAYS,))
        return
    held = texts(follow)
    names = {clause.name for clause in held}
    without = [clause for clause in named if clause.name not in names]
    if without:
        earliest = min(clause.since for clause in without)
        why = (
            f"the earliest that is known held from {earliest}"
            if day < earliest
            else f"the rule was taken out on {max(clause.until for clause in without)}"
        )
        fact = (
            f"no text of {_named(follow, without, named)} is known here for {day}, so nothing is held against it: {why}"
        )
        yield finding(NAME, f"{fact} ({HELP})", follow.span, advice=(_TODAYS, "or name a day on which it held"))
    undated = [clause for clause in held if not clause.since]
    if undated:
        said = _named(follow, undated, named)
        fact = f"from which day on the text of {said} held is not known: the one known here counts for {day}"
        yield replace(finding(NAME, f"{fact} ({HELP})", follow.span), severity=Severity.NOTE)


def _named(follow: m.Follow, some: list[Clause], of: list[Clause]) -> str:
    """As it is written where it is all that a `follow` names, else the paragraphs."""
    names = dict.fromkeys(clause.name for clause in some)
    return f'"{follow.rule}"' if len(names) == len({clause.name for clause in of}) else listed(names)
