"""From values to the bytes of a result."""
