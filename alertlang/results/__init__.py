"""What the other jobs answer, as data: reports, comparisons, replays, fleets, fits, read-backs, tunings."""
