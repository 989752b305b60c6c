"""Pieces that go all round: laid out flat edge to edge, so that pleats run on over every seam and the last meets the first."""
