"""The checks: one file each, with its page, over a context they share.

Decisions:

- beyond-sensor: a number past the sensor's range in a statement that still works hides a slip. It keeps quiet where
  another finding says so of the same statement.
- stale-acceptance: an exception with an end date is honoured without `--today`, with a note: there is no clock in any
  result. A finding that was not decided is never accepted.
- A band with an alert that can never apply gives both unreachable-band and dead-alert: the colour and the alert are
  two losses.
- Claims that are refuted or undecided count as errors for the exit code; a vacuous one is also a warning (AL405).
- `prove ... is green` asks for exactly green: white or blue beside it refutes the claim.
- The statement pointed at is the one that shows instead, or the alert its own `unless` takes away, not the limit: the
  limit may stand in a shipped file that nobody will edit.
- Where unwatched-quantity is accepted (a lamp and no gauge), the alerts that read the quantity are still held against
  its limits: accepting the missing gauge must not hide a wrong alert.
- A rank is shared by green, white and blue. An overlap of equal rank is a conflict.
- A red band inside a declared `avoid` range may lie inside green: the profile asks for it (14 CFR 25.1549(d)).
- A profile checked by itself has no bands, so what asks for bands is not asked.
- What can never be (stuck-condition, constant-condition, dead-alert, unreachable-band) is asked of states that have
  not settled too: a condition that is cleared late is a timer somebody may want. What never comes about is not taken
  to be still true.
- A condition with only `set after` can still be false while its undelayed value is true, but not the other way round.
  So transient-gap and late-alert leave open only the directions that have a delay: fewer false alarms, still no state
  missed.
- late-alert is finer than adding delays up: for each time at which some delay is over it asks for a state in which
  nothing is sure to show by then. Two rules that hand over to each other through `cold` and `not cold` are not late.
- A limit whose context is a delayed condition is broken from when that is set, as the stepper and replay have it: its
  delay makes no guard late. While it is still clearing the limit is broken too: interrupted-clock sees that.
- interrupted-clock: a condition that is free there has no delay, for the statement must apply whichever way it is.
  One with a memory that can change only once while the limit is broken counts as settled, where its delay and the
  statement's own fit into the reaction time alone. A history is one in which nothing shows the limit, its `except
  for` over, for longer than `within`.
- `for at least` in a guard is not counted as a delay: a state in which it is false is a state in which the guard does
  not hold, which is unguarded-limit. Where in doubt, towards the warning.
- unguarded-limit and missing-alert take every `for more than` and `after` as over: whether it comes in time is
  late-alert's.
- An alert guards a limit where it is news; `news` is the one place that counts. That one is down throughout the
  normal ranges says something only where a normal range holds: a door warning does not become the overspeed warning
  because a normal range is declared for the closed door. "Some other value" and "every other value" are both asked of
  chosen values, added until none makes a difference (`beside`): exact, negatable, without quantifiers. Where that
  takes too many values (ends that move, `let` of several readings) the alert does not count.
- What a moved reading may not break, and whose gauges must be calm, are the limited quantity and the readings it is
  worked out from; not a third quantity that follows from them. Of an array it is the one element: an alert on `any`
  element is old for one while another is too hot. Both may say too much, never too little.
- A red band is to silent-danger what the limit is to missing-alert. `raises` names the alerts it rests on, news or
  not.
- lost-guard compares the sure time with the sensor working and the sure time without it: where the former is late
  too, that is late-alert's. In JSON a witness keeps the truth and `told` beside it has what the box sees, so that no
  reader of either breaks.
- The proposal for a guard or band that a dead sensor takes away is the worst one that could show there: in doubt the
  warning.
- A claim whose `when` asks for `failed` is about states in which those sensors may fail; all others are healthy.
- conflict takes what must have lasted longer as the narrower context. Deadbands are left out of it, of
  redundant-band, of normal-not-green and of nuisance: what lingers came from where it belongs.
- nuisance needs words that the reference has not: see its page for what counts as normal.
- misfit-range looks within one file only: an aircraft may be held tighter than its engine.
- normal-not-green takes white for a normal speed range that holds only with the flaps out (23.1545: the white arc).
- A suggestion's region may take in an end point more than the fault has: bands may share an end, and the worse one
  shows.
- unlit-alert speaks only of levels as grave as the mildest that a lamp shows: advisories beside lamps for warnings
  and cautions are common. It is one note a level; one that is accepted is told by itself.
- That yellow is not for advisories is colour-level's, a rule of this tool: 25.1322(e) does not say so.
"""
