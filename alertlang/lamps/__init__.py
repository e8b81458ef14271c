"""The machine of an annunciator lamp, shared on purpose by the stepper and the replay."""
