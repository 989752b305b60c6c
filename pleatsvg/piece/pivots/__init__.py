"""Darts that are closed, so that their angle opens elsewhere: which are meant, and how the finished piece is read with them."""
