"""The fold-back referee: judges written results, and shares no code with the program it judges."""
