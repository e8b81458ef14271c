"""What rules mean, in the plainest code there is. It shares nothing with `logic` but the rule set.

Decisions:

- A stretch's length is the time since its first sample. What lies between two samples is unknown and breaks nothing:
  a delay that would end between two samples has no effect. Dense-time logic differs here; a test shows where.
- `until` comes first (set wins where both hold), then the delays look at its result. Before the first sample every
  output is false, also with `cleared after`.
- A missing reading makes its comparison false, and no more: that restarts `set after`, lets `cleared after` run on,
  and makes `not (x above 4)` true. So has a reading outside its sensor's range. An unknown switch position makes both
  `is` and `is not` false.
- `for more than` times the whole rest: `when`, the region with its deadband, and not `unless`. `after` counts from
  where the statement applies. `in total` counts the interval after a sample whole if the rest held at that sample:
  counting only what holds at both ends would warn later.
- Every part of a formula is looked at at every sample, so that `for at least` runs on behind an `or`.
- `latched`: the cause is that the statement applies. A press acknowledges what was up at the sample before; a held
  button is one press; what goes down and comes back needs a new one.
- A deadband keeps a band by the distance to its region as a whole, whatever `when` says, and ends at exactly its
  width. It is not for conditions and limits.
- A rise or fall has failed at the first sample and beside a gap. Beyond its declared range it stays at the end of
  that range: proofs assume the range, so what is red up to its end stays red beyond.
- A failed reading breaks no limit that anybody could tell; lost-guard looks at what is there.
- Limits are broken by the values there are; what is shown follows from the values that are told. Assumptions are
  about what there is, so a failed sensor breaks none.
- A rise or fall of a reading is read where it is named, as far as memory goes, and keeps its value: at one instant it
  is its own.
"""
