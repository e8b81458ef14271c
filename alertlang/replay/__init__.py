"""Rules over the columns of a recording: what was shown and what it counts for."""
