"""Recorded runs: logs to columns, rules over columns, what was shown and what it counts for."""
