"""The ground-test card: goals, what to set, what must be seen and by when, and what came back."""
