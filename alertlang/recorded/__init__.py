"""Moments and stretches of a recorded run, as the reference stepper would have met them.

Decisions:

- What the stepper knows before any row is made of what the replay keeps (`replay.kept`), in two passes over the log:
  one that keeps, one that reads the rows concerned. It steps once for each moment, however long the log; that this
  comes to the same as stepping from the first row is tested for any rules and any log.
- A moment between two samples is the sample before it: nothing newer was known.
- Alerts and marks are counted from 1, in the order of time.
- A stretch becomes a scenario with as much before it as it takes to come to what was shown, and is refused where that
  is too much. It holds the rows at which something changes that could matter, and was run before anybody sees it.
"""
