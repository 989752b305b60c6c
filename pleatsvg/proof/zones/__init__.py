"""Fitted results: folded above the hip and below it, each zone a folded pass of its own."""
