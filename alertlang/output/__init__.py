"""Reports as text and JSON: one file per output format."""
