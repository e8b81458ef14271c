"""Tree to rule set: files found, names bound, units exact, changes of a base applied."""
