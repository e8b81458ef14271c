"""Scenarios run over the reference stepper: what is shown held against what was expected, and witnesses saved as them."""
