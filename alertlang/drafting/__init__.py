"""From profiles to a complete first rule set."""
