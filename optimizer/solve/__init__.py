"""The exact model: candidates, variables, rules, search, and the way back to a plan."""
