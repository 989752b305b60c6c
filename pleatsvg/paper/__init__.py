"""Sheets of paper: their sizes, where the pages of a large piece lie, how they are joined, what stands on each of them."""
