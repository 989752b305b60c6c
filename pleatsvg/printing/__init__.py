"""From pages to files: PDF and SVG, and the proof that what was printed is what was drawn."""
