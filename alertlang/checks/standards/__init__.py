"""Checks that hold a rule set beside published rules: advice, or errors after `follow "..."`."""
