"""Tree to canonical text, comments kept."""
