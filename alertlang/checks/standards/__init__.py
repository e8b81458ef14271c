"""Checks that hold a rule set beside published rules: advice, or errors after `follow "..."`.

Decisions:

- A paragraph stands in the table once for each of its texts, with its days where they are known, and nothing is made
  up where they are not: then the text counts for every day of an `as of`, with a note. A note and no error, for the
  rules whose days are not known are those of old aircraft, which are what `as of` is for. Without `as of` the last
  text counts.
- There is no clock, so "in the future" is after the last day on which amendments were looked up (`KNOWN_TO`). Move it
  when they are looked up again.
- A text that was superseded is cited by no advice, only where it is followed. Where two texts of one paragraph are
  followed, the rule set is held to both.
- normal-not-green is a word of this tool and names a rule only where (b) of one of the 1549 rules is followed. There
  it is an error, so that following 27.1549(b) as it is now is not to follow nothing.
- A low-fuel sensor is known by the words low and fuel in its name or title, in any order: what else a shop calls it
  (a float, a thermistor) says nothing of fuel. What has them is no fuel quantity gauge. An alert that reads the gauge
  anywhere, be it in its `unless`, is not independent of it.
"""
