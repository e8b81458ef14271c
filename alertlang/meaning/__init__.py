"""What rules mean, in the plainest code there is. It shares nothing with `logic` but the rule set."""
