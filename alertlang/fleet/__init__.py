"""Rules over thousands of recorded runs: workers, resume, tables."""
