"""Drawings from outside: read as browsers and other writers mean them, and refused where they cannot be."""
