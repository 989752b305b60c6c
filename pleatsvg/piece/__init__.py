"""The finished piece: seam, slash lines, both halves, finished cutting line."""
