"""Rule set to questions to answers: terms, what they mean for a solver, witnesses. The only package that imports z3.

Decisions:

- Deciding happens in shared Z3 solvers, one per set of names and the assumptions that touch them; a model is made in
  a fresh context, because in a shared one it depends on what was asked before.
- An assumption touches a question if both reach a name, through as many definitions as it takes; the names are parted
  into groups once. A witness that the reference refuses is looked for again with everything kept before anybody calls
  it a fault.
- Work is bounded by Z3's own measure (`rlimit`), not by a clock.
- Readings are split into cells by the numbers they are compared with; truth is constant on a cell. Boxes grow over
  cells, the quantity at fault first, then the others in order of declaration, then switches. They are maximal, not
  unique.
- A witness takes, for each reading, the multiple of the step nearest the middle of the box, then of a cell of it,
  then a round number.
- Elements of an array that no statement singles out are all alike; one is asked about.
- The smallest set of causes is found by hitting sets of corrections, in fixed order.
- Scripts for a second solver are written from our own terms, not by Z3.
- Whoever asks sets `decider.stating` (a `Statement`) first; `checks/question_text.py` has the sentences.
  `checks/evidence.py` numbers the record, `checks/evidence_file.py` writes it.
- The second solver gets scripts without their status, under a limit in its own measure. No answer is no confirmation
  and ends with 1, as a disagreement does: exit code 0 would be read as confirmed. A disputed claim is undecided; a
  refuted one stands, for the reference evaluator confirmed its witness.
- Conditions on one formula are tied: the one set later and cleared no later implies the other. Other clocks that run
  at once are not, so that transient-gap may tell of a blank that no history reaches, and never misses one.
- A condition that has not settled goes by what it was due to be no longer ago than its delay (`Mode.earlier`), and so
  on down: delays of conditions built on conditions add up only where they can follow each other. What no history is
  found to reach is told as "at most".
- What has lasted in one part of an `or` has lasted in the `or`, also where the other parts are the failures of what
  that part reads. Drafts write `(running or rpm failed) for at least 30 s`: with `running for at least 30 s or rpm
  failed` a tachometer that comes and goes started the time anew each time, and oil pressure was called out up to 30 s
  late.
- What a failed sensor makes of open truths is tied to what they would be with it wherever a formula can only hold
  more often (or less often) for want of it: the past then did so too, however often the sensor came and went. The
  rest of the past is open.
- Where a question lets a sensor fail, its rise or fall may have failed alone: whether the reading was missing before
  is open, and one truth for all that rises and falls with it. What asks for no failure is of samples that have one
  before them.
- A region against a `let` or `curve` is a comparison of their difference with 0; boxes are drawn in that difference.
"""
