"""The only SQL. Functions take the session of their caller's transaction and return plain rows."""
