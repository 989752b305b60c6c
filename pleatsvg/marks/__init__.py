"""Notches, arrows, stitching and words on the flat piece."""
