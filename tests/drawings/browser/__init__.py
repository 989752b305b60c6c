"""A browser as referee for scale and transforms; its figures are kept, so that tests run without it."""
