"""The machine of an annunciator lamp, shared on purpose by the stepper and the replay.

Decisions:

- Plain sequence A has lock-in; without it is what agrees with 25.1322(a)(3), and lingering-alert says so of the
  others. A new alert relights an acknowledged lamp; only M keeps what comes back before its reset acknowledged. That,
  and the light and sound of R's ringback, are ours: they were read in makers' reprints only, and no test of the
  outside world takes them for the standard's.
- Buttons count before the sample's alerts, acknowledge before reset. No word of the panel is reserved.
"""
