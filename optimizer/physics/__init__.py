"""One quantity a file; every function names its unit and its source."""
