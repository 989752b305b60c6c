"""Pages to print, the card, the sample."""
