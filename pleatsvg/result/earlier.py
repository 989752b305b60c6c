"""What earlier passes left on a piece that is pleated once more: their lines, marks and words. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.geometry.segment import Segment


class Tag(NamedTuple):
    """What a line, a mark or a text of our own result says of itself.

    Attributes:
        role: its class.
        pass_: the pass that it belongs to, from 1.
        pleat: its pleat's number, 0 for none.
        folds: places in the pleat's fold list.
        kind, lap: of the pleat, "" where they are not stated.
        crease: whether it is folded along.
        line, end: of a mark, the line that it belongs to and at which end of it.
        dashes: the dashes that show how much of it is to be seen, or "".
        part: of which element of the drawing it is a stroke.
        piece: what the piece is called on which it stands, where it was read.
        way: of a crease, "mountain" or "valley" where its class does not say it.
        join: of a join line, what it joins.
    """

    role: str
    pass_: int
    pleat: int = 0
    folds: tuple[int, ...] = ()
    kind: str = ""
    lap: str = ""
    crease: bool = False
    line: str = ""
    end: str = ""
    dashes: str = ""
    part: int = 0
    piece: str = ""
    way: str = ""
    join: str = ""


class EarlierLine(NamedTuple):
    """A line or a mark, and its strokes, each of segments end to end; of a line, from its top to its hem."""

    tag: Tag
    strokes: tuple[tuple[Segment, ...], ...]


class EarlierWords(NamedTuple):
    """A line of lettering; cf. `pleatsvg.lettering.Words`."""

    tag: Tag
    text: str
    middle: complex
    turn: float
    size: float


class EarlierPleat(NamedTuple):
    """A pleat of an earlier pass: its kind, lap and measured intakes, or what was said of it then."""

    pass_: int
    number: int
    kind: str
    lap: str
    intake_top: float
    intake_hem: float
    said: str = ""


@dataclass(frozen=True, slots=True)
class Earlier:
    """All that earlier passes left.

    Attributes:
        passes: how many there were.
        pleats: the highest number of a pleat.
        lines: that run on through the next pass.
        marks, words: that go with their panel.
        kept: what each pass was to become.
        joined: whether the piece was cut in parts.
        told: what the earlier pleats are.
    """

    passes: int
    pleats: int
    lines: tuple[EarlierLine, ...]
    marks: tuple[EarlierLine, ...]
    words: tuple[EarlierWords, ...]
    kept: tuple[EarlierLine, ...]
    joined: bool = False
    told: tuple[EarlierPleat, ...] = ()
