"""The ground-test card: goals, what to set, what must be seen and by when, and what came back.

Decisions:

- On the ground-test card what must not come is held for as long as what would come; edges and contexts that nobody
  decided are named open, never covered; a condition with `until` is set or cleared first where its past would decide.
  Rises and falls are done by ramps, which count only if the reference shows the same a tenth quicker and a tenth
  slower.
"""
