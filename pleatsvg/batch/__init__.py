"""A whole set of pieces from one job file: read it, plan it, make the pieces, record them."""
