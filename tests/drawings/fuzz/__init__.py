"""Drawings spoilt at random: whatever comes in, a proven result or a plain refusal comes out."""
