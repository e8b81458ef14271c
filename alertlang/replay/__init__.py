"""Rules over the columns of a recording: what was shown and what it counts for.

Decisions:

- A log is evaluated in chunks with carried state; how long they are changes no result. No node is skipped because
  another has decided: it may count time.
- The margin to a limit is told only where every limit ahead always holds: a wide margin to another one would calm.
- A flood ends as soon as ten minutes hold fewer than five alerts: second hand, as the other numbers of floods are. "A
  few seconds" of a fleeting alert are 5 s: no number is published, and it says so.
- Over a gap conditions are as at its ends; gaps are told.
- What statistics, curves, rises and falls come to is told here once more (`engine_values`), beside `meaning.derived`
  and what the solver is told: their agreement is evidence, so they share nothing but the model.
- The replay shares the lamp's machine with the stepper, so `tests/helpers/plain_lamps.py` tells it a second time from
  history alone.
"""
