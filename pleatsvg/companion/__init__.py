"""Companions: what is sewn to a pleated edge, notched where its folds come to lie, and held against its folded length."""
