"""What a gauge shows, as data: strips, operating maps, and the words for them.

Decisions:

- A picture is of a state that goes on, every time just begun: each part of a scale or a map is a `Course`, the colour
  at once and what it turns to after which time, and is drawn and named as both. So a timed band is never drawn as if
  its time were over, nor its colour to come left out. A time that began elsewhere is over sooner: every picture with
  a time says so. What is proved of a strip is proved at once and after each time that one of its bands waits for.
- What else the past decides is not drawn in two states. `for at least` and `until` are part of a strip's heading,
  where they can be either; a map holds them as its caption says, wherever they can be so. A condition with a delay
  counts as settled; a strip that is not proved before it has settled says that it must have. A deadband is told in a
  note.
- Every value at which a picture changes has its number: numbers that crowd are spread, with lines to their places,
  and none is left out. A part too narrow for its letter is named below its strip.
- In the terminal every stretch between two edges has a row or a column, wider than it is if need be: a map that left
  out a narrow band would say something false. Where even that does not fit, the worse is shown and a note names the
  rest by number. A sliver between slanted edges is shown wherever it reaches if it is worse than what is there. Edges
  of limits that are not drawn there have a line of their own.
- The heading of a strip is proved: no possible state in which it holds shows anything else. What it says is shortened
  only where the solver agrees; an undecided answer shortens nothing. Where an edge moves with another reading, the
  strip names the value at which it is shown; where a failed sensor changes it, the gauge says that all of it is so
  while every sensor works.
- An operating map is exact: the plane is cut along every straight line at which anything can change, and each piece
  is asked once. What is held still is a state in which as many normal ranges as can be hold.
"""
