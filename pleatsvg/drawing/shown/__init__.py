"""A result read as it is seen, to be printed."""
