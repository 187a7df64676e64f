"""URLs: parse, call one service, render or redirect."""
