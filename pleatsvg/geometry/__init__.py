"""Plane geometry in mm, y down, on complex numbers; knows no cloth."""
