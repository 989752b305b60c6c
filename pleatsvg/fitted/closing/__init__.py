"""How far panels are closed, found for many edges at once."""
