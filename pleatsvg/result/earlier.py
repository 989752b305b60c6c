"""What earlier passes left on a piece that is pleated once more: their lines, marks and words. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.result.pattern_lines import PatternLine, Tag


class EarlierWords(NamedTuple):
    """A line of lettering; cf. `pleatsvg.lettering.Words`."""

    tag: Tag
    text: str
    middle: complex
    turn: float
    size: float


class EarlierPleat(NamedTuple):
    """A pleat of an earlier pass: its kind, lap and measured intakes, or what was said of it then; of a released tuck how far
    it is stitched (mm) and from where, "top", "hem" or "middle"."""

    pass_: int
    number: int
    kind: str
    lap: str
    intake_top: float
    intake_hem: float
    said: str = ""
    stitched: tuple[float | None, str] = (None, "")


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
    lines: tuple[PatternLine, ...]
    marks: tuple[PatternLine, ...]
    words: tuple[EarlierWords, ...]
    kept: tuple[PatternLine, ...]
    joined: bool = False
    told: tuple[EarlierPleat, ...] = ()
