"""What stands beside the seam of a result, held against its lines: cutting lines of parts, notches, marks, words, scale."""
