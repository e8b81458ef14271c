"""Exact quantities: units, numbers as they are written, and sets of values."""
