"""Marks, heading and key on a page."""
