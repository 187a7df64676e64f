"""Where the invented numbers of the seed tables come from. Only generate.py uses it."""
