"""Numbers and values as words and drawings' coordinates: everything the templates would otherwise compute."""
