"""Why something is shown, or is not: one engine, whoever asks (a scenario that differs, a recording, a state by hand).

Decisions:

- Everything is said of a `Moment`: a run of the reference stepper that has come to one sample, with what was known
  before it and since when everything is as it is. How the run came there is of no consequence: from its start, or from
  what a replay keeps (`alertlang.recorded`); a test holds the two to be equal.
- The nearest change of one input is exact: every comparison that a reading decides is a line, piece by piece, over that
  reading, and what is shown can change where such a line meets its end and nowhere else. Each stretch between two such
  points is tried with the stepper, everything else and every clock as they stand; rises and falls stay as they were,
  for a value that is imagined has come from nowhere.
- An alert that is up is asked about at the sample at which it came up: only there would another value have prevented
  it.
- What depends on an input that was not given is not judged, and is said not to be.
"""
