"""Sizes of the page: its margin, the letters of the heading, the room that the key takes."""

from __future__ import annotations

MARGIN = 15.0
"""Free edge of the page in mm; printers leave up to 6 mm bare."""


HEADING_SIZES = (7.0, 4.4)
"""Font sizes in mm of the first row of the heading and of the others."""


ROW_PITCH = 6.5


KEY_LETTERS = 56
"""At most so many letters in one line of the key."""


KEY_WIDTH = 97.0 + 0.6 * 4.4 * KEY_LETTERS
"""From the left side of the square to the end of the longest line: small letters take 0.48 of their size in the widest of the
usual faces (DejaVu Sans, measured), and a quarter more is left."""


KEY_LINE = 5.6
"""mm from one line of a row of the key to the next."""


KEY_HEIGHT = 68.0


TABLE_GAP = 10.0
"""mm between the key and the table of a fitted piece."""
