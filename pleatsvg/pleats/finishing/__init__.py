"""Cloth that is drawn as it lies flat, and the finished piece that it becomes: pleats that bring its seam to a length."""
