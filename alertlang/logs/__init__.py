"""Recordings to columns: dialects, clocks, column maps, what is odd in them."""
