"""Whether a display can hold a rule set: what is needed, what is there, what to merge or drop; one file per check.

Decisions:

- Contexts share a place of a display only if no possible state tells them apart, whichever sensors have failed and
  whatever has not settled; so the number of groups is the fewest there can be. On a display a delay lasts until a
  scan, and one scan more is added for the start.
- A plan is least by what each step loses alone. The changed rules are then checked as a whole, and what is new is
  told.
"""
