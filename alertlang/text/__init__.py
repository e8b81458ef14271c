"""Source text: names and the places they stand."""
