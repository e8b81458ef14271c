"""Recordings to columns: dialects, clocks, column maps, what is odd in them.

Decisions:

- A number of a log is a double in the log's own unit, its exact value the shortest decimal that reads as it. The
  bound is converted, never the column, so that comparisons are exact. Derived values are doubles with an error bound;
  rows within it are decided again as fractions.
- A block of a log is regular if its separators and line ends count up and polars finds no line too long; only then is
  its table taken as it is. What is odd in a log is counted with its first row, never dropped.
- Rows of one time: the last counts. The others are judged in a second pass in which times are spread
  (`replay.left_out`), since conditions and delays need times; `repeats = "spread"` lets them all count.
- A unit is doubted by up to 8192 rows evenly over the log, kept by a stride that is a power of two, so that the size
  of a block does not matter.
- An unclear press of a button counts as not pressed, since a press can take a warning away.
- Times are whole ticks from what is written on, by way of doubles only where these hold all fifteen digits. A time that
  is damaged takes no digit from the others, which is why nearly all of the first block, not its largest, says how fine
  a tick is.
- A proposed map is never quieter than a person: what names and values do not settle is a `doubt` in the map, also where
  no column is named, and a replay with a doubt is not trusted. What a log may not be trusted for is a kind of problem
  (`results.replay.DISTRUST`), not a guess at reading.
- An empty cell is held over only as the map asks; a cell that holds no value is failed, and so is what it is held for.
- Reading ahead in a thread was tried and gained nothing on two cores, both of which polars uses.
"""
