"""Scenarios run over the reference stepper: what is shown held against what was expected; witnesses saved."""
