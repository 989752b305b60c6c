"""Pleats shaped between hip and waist: the piece that the body wears above the hip, pleated, and joined to the piece below."""
