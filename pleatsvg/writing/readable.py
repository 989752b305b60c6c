"""A result is written only if it can be read again: what is folded back, or pleated once more, is a drawing like any other."""

from __future__ import annotations

import re

from pleatsvg.drawing.path_data import MOST_SEGMENTS
from pleatsvg.drawing.source import LONGEST_VALUE, MOST_TAGS, root_of
from pleatsvg.errors import DrawingError, FitError, cut_short

_REMEDY = "Make fewer pleats at once, leave out what is drawn on the piece, or simplify it in the vector editor."


def refuse_unreadable(data: bytes, name: str) -> None:
    """Refuse a result that goes beyond the bounds of reading.

    Args:
        data: its bytes.
        name: of the piece, for the message.

    Raises:
        FitError: it holds more than is read of a drawing.
    """
    if len(data) <= LONGEST_VALUE:  # too little for any of the bounds
        return
    said = f"The result of '{cut_short(name)}'"
    segments = data.count(b" L ") + data.count(b" C ") + data.count(b" Z")
    if segments > MOST_SEGMENTS:
        raise FitError(
            said,
            f"would hold {segments} lines and curves",
            f"drawings of up to {MOST_SEGMENTS} are read, and a result must be read again to be folded back",
            _REMEDY,
        )
    # What stands between two quotes is no shorter than the value that it is read as: where what is long of it is too little for
    # a bound, the result need not be read for that.
    long = sum([len(found[0]) for found in re.finditer(rb'"[^"]{1000,}', data)])
    if long <= LONGEST_VALUE and data.count(b"<") <= MOST_TAGS:
        return
    try:
        root_of(data, name)
    except DrawingError as error:
        raise FitError(said, f"could not be read again: it {error.measured}", error.limit, _REMEDY) from None
