"""CSS as far as a drawing's places, sizes and looks need it."""
