"""One number of one statement in many values: what each is worth over recorded runs, and which break nothing.

Decisions:

- `tune` proposes nothing that the checks find something new in, nothing that misses a mark near the alert now, and no
  value at which the alert never comes up.
- What never came up has no reaction time in `tune`, whatever its delays add up to: a zero would look like the best.
"""
