"""Whether a display can hold a rule set: what is needed, what is there, what to merge or drop; one file per check."""
