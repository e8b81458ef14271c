"""A `follow` names a rule of which nothing is looked at.

## What it finds

A `follow` statement whose text is not the name of a rule, or of a paragraph, in this list:

- 14 CFR 25.1549 and 27.1549, paragraphs (a), (b), (c), (d): powerplant markings; and 23.1549 (text not read,
  from memory)
- 14 CFR 23.1545, paragraphs (b)(1), (b)(2), (b)(3), (b)(4): airspeed markings (read in an edition of the
  1960s)
- 14 CFR 91.205, paragraphs (b)(1) to (b)(10): instruments for flight under day visual rules
- 14 CFR 27.1305: powerplant instruments of small rotorcraft
- 14 CFR 25.1553 and 29.1553: fuel quantity markings; and 27.1553 (text not read, taken to be that of 25.1553)
- 14 CFR 25.1322, paragraphs (a)(3), (c)(2), (e): crew alerts ((e): text not read, from memory)
- 14 CFR 27.1322 and 23.1322: warning, caution and advisory lights
- MIL-STD-411F, paragraph 5.2.5.4: colours of messages

A rule may be named as a whole or by paragraph: `follow "14 CFR 25.1549"`, `follow "25.1549(c)"`. Case,
blanks, section signs and what stands before the number (`14 CFR`, `FAR`) make no difference.

## Why it matters

Who writes `follow` counts on the findings of that rule being errors. A name that is misspelt, or of a rule
that nothing looks at, would give a clean result that means nothing.

## Example

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    follow "14 CFR 25.1594"

## Corrected

    rules "example" version 1
    quantity rpm "Engine speed" from 0 to 3500 rpm, step 10 rpm
    rpm at most 2750 is green
    rpm above 2750 is red
    follow "14 CFR 25.1549"

## How it is decided

By comparing with the list; no solver.

## What it cannot see

Whether the rule applies to the aircraft, which amendment does, and what else it asks for: of every rule in
the list only a part is looked at, and the page of each check says which. Nothing here says that a rule is
complied with. It is help in reading; the approved documents decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from alertlang.checks.context import Context
from alertlang.checks.standards.published import CLAUSES, RULES, known, nearest_names, read_name
from alertlang.checks.standards.say import HELP
from alertlang.checks.words import listed
from alertlang.diagnostics.finding import Finding, finding
from alertlang.model import ruleset as m

NAME = "unknown-standard"


def applies(ruleset: m.RuleSet, name: str | None) -> bool:
    """Whether there is anything to look at."""
    return bool(ruleset.follows)


def check(context: Context) -> Iterator[Finding]:
    """Each `follow` that names nothing known."""
    for follow in context.ruleset.follows:
        if known(follow.rule) is not None:
            continue
        named = read_name(follow.rule)
        if named is not None and named.rule in RULES:
            paragraphs = [clause.name for clause in CLAUSES if clause.rule == named.rule and clause.paragraph]
            what = f"of {named.rule} only {listed(paragraphs)} is looked at" if paragraphs else ""
            fact = f'nothing looks at the paragraph "{follow.rule}"' + (f": {what}" if what else "")
            advice = [f"name the rule as a whole: {named.rule}"]
        else:
            fact = f'nothing is known here of a rule "{follow.rule}", so nothing is held against it'
            close = nearest_names(follow.rule)
            advice = [f"did you mean {' or '.join(close)}?"] if close else []
        yield finding(
            NAME,
            f"{fact} ({HELP})",
            follow.span,
            advice=(*advice, f"can be followed: {', '.join(RULES)}"),
        )
