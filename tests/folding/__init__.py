"""The way back from what is drawn: results folded by `pleatsvg fold`."""
