"""What the tool has to say, as data: findings, the table of codes, verdicts."""
