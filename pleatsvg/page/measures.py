"""Sizes of the page: its margin, the letters of the heading, the room that the key takes."""

from __future__ import annotations

MARGIN = 15.0
"""Free edge of the page in mm; printers leave up to 6 mm bare."""


HEADING_SIZES = (7.0, 4.2)
"""Font sizes in mm of the first row of the heading and of the others."""


STITCH_SIZE = 4.2
"""Font size in mm of the words beside a line of stitching."""


ROW_PITCH = 6.5


KEY_WIDTH = 205.0


KEY_HEIGHT = 68.0
