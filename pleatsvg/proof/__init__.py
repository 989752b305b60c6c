"""The way back: folded from the lines as drawn, before writing and from a file."""
