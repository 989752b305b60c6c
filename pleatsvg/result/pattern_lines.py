"""What was seen on a result of ours, by class and data-*, before it is folded back."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.geometry.segment import Segment

CREASE_ROLES = ("fold-line", "inner-fold-line")
"""Classes that are always creases; a stitch line is one where it says so."""


@dataclass(frozen=True, slots=True)
class ResultLine:
    """A pattern line of a result.

    Attributes:
        role: its class, as in the contract ("seam-line", "fold-line" and so on).
        strokes: its strokes in mm on the page, each of segments end to end.
        closed: whether its one stroke is closed.
        pass_: the pass that it belongs to, from 1.
        pleat: the pleat's number, 0 for none.
        folds: places in the pleat's fold list.
        kind, lap: of the pleat, "" where they are not stated.
        crease: whether it is folded along.
        join: what a join line says it joins, "" for other lines.
    """

    role: str
    strokes: tuple[tuple[Segment, ...], ...]
    closed: bool
    pass_: int = 1
    pleat: int = 0
    folds: tuple[int, ...] = ()
    kind: str = ""
    lap: str = ""
    crease: bool = False
    join: str = ""

    @property
    def words(self) -> str:
        """What to call it in a message: "the fold line of pleat 2"."""
        plain = self.role.replace("-", " ")
        number = f" ({', '.join(map(str, self.folds))} in its list)" if self.folds and self.crease else ""
        return f"the {plain} of pleat {self.pleat}{number}" if self.pleat else f"the {plain}"


@dataclass(frozen=True, slots=True)
class ResultPiece:
    """One piece of a result: its name and its lines, in file order."""

    name: str
    lines: tuple[ResultLine, ...]

    def by_role(self, role: str) -> tuple[ResultLine, ...]:
        """Return the lines of one class."""
        return tuple([line for line in self.lines if line.role == role])


@dataclass(frozen=True, slots=True)
class DrawnResult:
    """A whole result: the file's name, its pieces, and remarks for the person."""

    source: str
    pieces: tuple[ResultPiece, ...]
    notes: tuple[str, ...] = ()
