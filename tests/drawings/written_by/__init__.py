"""One piece as different programs save it."""
