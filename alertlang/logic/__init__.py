"""Rule set to questions to answers: terms, what they mean for a solver, witnesses. The only package that imports z3."""
