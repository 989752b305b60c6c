"""Room for the words on the flat piece, and the words themselves: along lines, in lanes, along edges, on parts."""
