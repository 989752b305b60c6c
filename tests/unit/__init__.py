"""One room of the program at a time."""
