"""Rules over thousands of recorded runs: workers, resume, tables.

Decisions:

- A finished log of a fleet is kept under the digest of its bytes, of rules and map by what they say, and of the tool's
  version. The process that finishes a log writes its result, so that killing the command loses none; what the workers
  of a cluster finish the command writes as it comes. Tables are doubles, the kept results exact.
"""
