"""The installer's sheet: what is keyed into the box, line by line, and the record of what it then holds."""
