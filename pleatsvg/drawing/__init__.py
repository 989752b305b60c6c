"""Drawings in and out: the only rooms that know XML."""
