"""Checks of a rule set against a display: whether the box can hold it, one file per check."""
