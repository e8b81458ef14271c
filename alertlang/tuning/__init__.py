"""One number of one statement in many values: what each is worth over recorded runs, and which break nothing."""
