"""The checks: one file each, with its page, over a context they share."""
