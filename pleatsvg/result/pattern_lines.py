"""A pattern line of a result: just made, read to be pleated once more, or read to be folded back and proven."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.kinds import noun_of
from pleatsvg.result.roles import is_mountain
from pleatsvg.tolerance import ON_LINE


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
        unseen: whether it is drawn without ink, beside a stroke for what is to be seen of it.
        stroke: of which element of the drawing it is a stroke.
        piece: what the piece is called on which it stands, where it was read.
        way: of a crease, "mountain" or "valley" where its class does not say it.
        join: of a join line, what it joins.
        allowance: of a join line, the allowance beyond it in mm, where it is stated.
        at: of a companion's notch, how far along its edge it stands in mm, where it is stated.
        of: of such a notch, what is sewn there.
        zone: of a finished line of a fitted piece, "above" or "below" the hip; "" of all others.
        stitched: of a line of a released tuck, from where to where it is stitched, in mm from the line's top on the seam
            when later passes are folded; None for all else.
        level: of the line at which fitted pleats bend, what that level is called, "" where it is not stated.
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
    unseen: bool = False
    stroke: int = 0
    piece: str = ""
    way: str = ""
    join: str = ""
    allowance: float | None = None
    at: float | None = None
    of: str = ""
    zone: str = ""
    stitched: tuple[float, float] | None = None
    level: str = ""


@dataclass(frozen=True, slots=True)
class PatternLine:
    """A line or a mark of a result, and what it says of itself.

    Attributes:
        tag: what it says of itself.
        strokes: in mm, each of segments end to end; of a line of a pleat, from its top to its hem.
    """

    tag: Tag
    strokes: tuple[tuple[Segment, ...], ...]

    @property
    def role(self) -> str:
        """Its class, as in the contract ("seam-line", "fold-line" and so on)."""
        return self.tag.role

    @property
    def pass_(self) -> int:
        """The pass that it belongs to, from 1."""
        return self.tag.pass_

    @property
    def pleat(self) -> int:
        """The pleat's number, 0 for none."""
        return self.tag.pleat

    @property
    def folds(self) -> tuple[int, ...]:
        """Places in the pleat's fold list."""
        return self.tag.folds

    @property
    def crease(self) -> bool:
        """Whether it is folded along."""
        return self.tag.crease

    @property
    def mountain(self) -> bool:
        """Of a crease, whether it stands up on the right side of the cloth."""
        return is_mountain(self.tag.role, self.tag.way)

    @property
    def closed(self) -> bool:
        """Whether it is one closed stroke."""
        return len(self.strokes) == 1 and abs(self.strokes[0][0][0] - self.strokes[0][-1][-1]) <= ON_LINE

    @property
    def ends(self) -> tuple[complex, complex]:
        """Where it starts and where it ends; of one drawn there and back, the place where it turns."""
        start, end = self.strokes[0][0][0], self.strokes[-1][-1][-1]
        if abs(end - start) <= ON_LINE:
            nodes = [z for stroke in self.strokes for seg in stroke for z in (seg[0], seg[-1])]
            end = max(nodes, key=lambda z: abs(z - start))
        return start, end

    @property
    def words(self) -> str:
        """What to call it in a message: "the fold line of pleat 2"."""
        plain = self.role.replace("-", " ")
        number = f" ({', '.join(map(str, self.folds))} in its list)" if self.folds and self.crease else ""
        return f"the {plain} of {noun_of(self.tag.kind)} {self.pleat}{number}" if self.pleat else f"the {plain}"


@dataclass(frozen=True, slots=True)
class WrittenWords:
    """A line of lettering of a result: what it says of itself, its text and the middle of it (mm on the page)."""

    tag: Tag
    text: str
    middle: complex


@dataclass(frozen=True, slots=True)
class ToldPleat:
    """What the label of a pleat states of it, in mm and degrees; None for what it does not state."""

    pass_: int
    pleat: int
    intake_top: float | None
    intake_hem: float | None
    grain_degrees: float | None


@dataclass(frozen=True, slots=True)
class Stated:
    """What a piece of a result says of itself as a whole.

    Attributes:
        holds: how many elements of each class it was made with; None where it does not say so.
        finished_area: of the finished shape of its last pass, in mm2, or None.
        fit: of a fitted piece, the length that its folded top was to come to, in mm; or None.
    """

    holds: Mapping[str, int] | None = None
    finished_area: float | None = None
    fit: float | None = None


@dataclass(frozen=True, slots=True)
class PrintCheck:
    """The largest side of the 50 mm square and the length of the 100 mm bar, in mm; None where they are gone."""

    square: float | None = None
    bar: float | None = None


@dataclass(frozen=True)
class ResultPiece:
    """One piece of a result.

    Attributes:
        name: what it is called.
        lines: that are cut, folded and matched by, in file order.
        marks: notches, arrows and signs.
        words: lettering of ours.
        told: what the labels of pleats state.
        found: how many elements of each class there are.
        stated: what it says of itself.
        check: of the page that it stands on.
        beside: whether marks, words and figures were read as well.
    """

    name: str
    lines: tuple[PatternLine, ...]
    marks: tuple[PatternLine, ...] = ()
    words: tuple[WrittenWords, ...] = ()
    told: tuple[ToldPleat, ...] = ()
    found: Mapping[str, int] = field(default_factory=dict)
    stated: Stated = Stated()
    check: PrintCheck = PrintCheck()
    beside: bool = False

    @cached_property
    def finished_area(self) -> float | None:
        """The area of the finished shape of the last pass, as drawn, in mm2; of a fitted piece, of the one below the hip."""
        last = max([line.pass_ for line in self.lines], default=1)
        shapes = [
            line
            for line in self.lines
            if line.role == "finished-line" and line.pass_ == last and line.closed and line.tag.zone in ("", "below")
        ]
        return abs(Outline(shapes[0].strokes[0]).area) if len(shapes) == 1 else None

    def by_role(self, role: str) -> tuple[PatternLine, ...]:
        """Return the lines of one class."""
        return tuple([line for line in self.lines if line.role == role])


@dataclass(frozen=True, slots=True)
class DrawnResult:
    """A whole result: the file's name and its pieces."""

    source: str
    pieces: tuple[ResultPiece, ...]
