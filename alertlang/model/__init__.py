"""Tree to rule set: files found, names bound, units exact, changes of a base applied.

Decisions:

- `source NAME second hand "..."` exists beside document, common practice and from memory: a figure read in somebody's
  copy is neither the document nor a memory, and must show as what it is.
- `source` is a clause of quantities, conditions, assumptions, lets and curves too: their numbers need one as much.
- Profile statements may stand in a rules file (a shop tightens a limit for one aircraft, a small rule set is one
  file). The other way round is an error.
- `use rules` also looks in a `rules/` folder and in the parent folder, so that variants can stand in a folder of
  their own.
- Labels are unique over everything loaded; derived ones count per quantity and kind (`rpm_1`, `rpm_limit_1`,
  `alert_1`).
- A label in two profiles counts in each with its profile's name before it, not only in the second: the plain one
  would otherwise change what an `accept` covers with the order of `use`.
- Rules cannot drop or replace a statement of a profile: that would hide a limit, and where in doubt the tool fails
  towards the warning. A tighter limit may be added; a finding may be accepted with a reason.
- `replace` and `drop` of a statement of the same file are done, with a warning: it is clear what is meant.
- What one instant does not decide is an open truth with a name that reads as a sentence (`power_time for more than 5
  min`, `cold` between its two parts). The solver may choose it within what ties it; the evaluator is told. So a proof
  that something shows never counts on it, and a proof that nothing shows allows for it.
- A *mode* says which states are looked at: plain (settled, every sensor healthy), some conditions not settled, or
  some sensors that may fail. One question can look at one state in two modes. A mode renames only the open truths it
  touches: what does not depend on the failed sensor is the same in both.
- Derived quantities are linear, or linear piece by piece: that is what the solver decides exactly. Products of
  quantities are refused; a curve states such a relation.
- A number written beside a temperature is a difference (`oat - 15 C` is a temperature, 15 degrees lower); the
  difference of two temperatures is one too. A multiple of a temperature means nothing and is refused.
- A range may be written only for a rise or fall (where it is needed) or if it holds all that can come out: a narrower
  one would hide states.
- The weights of a profile are a statement of their own, not a fact of `engine`: they have numbers and a source.
  arc-weight is a check of its own, for it is about the profile and not about a band. Nobody is told that the weight
  is not said unless one of the two weights is, or the rule is followed: most documents do not say it, and a note on
  every aircraft would be read past. A weight that differs is always told, for somebody wrote both down.
- Lamps, gauges and inputs have no label: each is known by its text, quantity or switch. To have other lamps, let them
  stand in a file of their own that uses the rules.
- A number is worth what the weakest source of its statement is; numbers are counted as they are written, so that a
  curve of four points is four (`grades`). Rules name no source and are not counted: they are what is checked.
"""
