"""Exact quantities: units, numbers as they are written, and sets of values.

Decisions:

- `%` is one hundredth of a plain number; `lb` and `kg` are there for limits by weight.
"""
