"""Pleat arithmetic before anything is drawn: from a tape measure to a count, a cloth and a plain panel. Plain numbers only."""
