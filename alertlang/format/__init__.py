"""Tree to canonical text, comments kept.

Decisions:

- `format` keeps an author's break between clauses; lines are 110 columns wide. What it wrote is read again and
  compared.
"""
