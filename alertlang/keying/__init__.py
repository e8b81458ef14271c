"""The lines that an installer keys in, the record that is read back, and what the box then holds."""
