"""The cutting line of a finished piece: as drawn or at its allowances, over darts, and with the hem turned."""
