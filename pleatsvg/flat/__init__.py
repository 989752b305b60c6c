"""The fold model: motions, trued seam, cutting line, what is carried, earlier passes."""
