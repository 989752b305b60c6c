"""Folded cloth in a stack, and its pictures as lines and words."""
