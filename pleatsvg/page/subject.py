"""What a page is made of: the flat piece with all that is drawn on it, before it has a place on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.passes.earlier_lines import Through
from pleatsvg.length import show
from pleatsvg.order.marking import Marking
from pleatsvg.page.fitted_table import Table
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.edges import Edge, called_on_cloth
from pleatsvg.piece.slash_lines import SlashSet, lengths_once_round
from pleatsvg.pleats.laid import LaidPleat


@dataclass(frozen=True, slots=True)
class Above:
    """Of a fitted piece, what is marked above the hip.

    Attributes:
        unfolded: its flat piece above the hip; its lines end there.
        pleats: laid out on what the panels above the hip become.
        lines: its slash lines.
        lengths: by the number of a drawn seam edge, how long it is when the piece is fitted (mm).
        waist: how long the folded top is (mm).
        foot: what the level is called down to which the pleats are stitched, cf. `pleatsvg.result.shaped`.
        down: how far that lies below the top (mm), where a length says it; else None.
        table: of its spaces and intakes.
        level: the line at which its lines bend, piece by piece with the layer that each lies on.
        below: the flat piece below the hip, where stitching begins there and runs up in curves; else None.
    """

    unfolded: Unfolded
    pleats: tuple[LaidPleat, ...]
    lines: SlashSet
    lengths: Mapping[int, float]
    waist: float
    foot: str
    down: float | None
    table: Table
    below: Unfolded | None = None
    level: tuple[tuple[int, tuple[complex, complex]], ...] = ()


@dataclass(frozen=True, slots=True)
class Subject:
    """The piece that a sheet is about, and how it is to be marked."""

    name: str
    lines: SlashSet
    ground: BothHalves
    cutting: Cutting | None
    marking: Marking
    join_allowance: float
    unit: str
    through: Through | None = None
    allowances: str = ""
    """What is said of the allowances; left out, it follows from the cutting line."""

    above: Above | None = None

    def finished_length(self, edge: Edge) -> float:
        """Return how long a seam edge is when the piece is finished, all round that of one round (mm)."""
        if self.above is not None and edge.number in self.above.lengths:
            return self.above.lengths[edge.number]
        return edge.length if not self.lines.ring else lengths_once_round(self.lines, self.ground.edge_of)[edge.number]

    def cut_words(self, beside_fold: bool = False) -> str:
        """Return how often the piece is cut, in the words of the trade; "" where nobody has said it.

        `beside_fold` is said of a part of a piece cut on the fold that does not itself lie on the fold edge: it is there
        on both sides of it, mirrored.
        """
        pair, number = self.marking.pair, self.marking.cut
        if beside_fold:
            number = 2 * (number or (2 if pair else 1))
            return "CUT A PAIR, the second mirrored" if number == 2 else f"CUT {number}, half of them mirrored"
        behind = " ON THE FOLD" if self.ground.on_fold else ""
        if pair and number in (None, 2):
            return f"CUT A PAIR{behind}" if behind else "CUT A PAIR, the second mirrored"
        if number is None:
            return f"CUT{behind}" if behind else ""
        return f"CUT {number}{behind}{', half of them mirrored' if pair else ''}"

    def cut_rows(self, beside_fold: bool = False) -> tuple[str, ...]:
        """Return what is said on every part: how often it is cut, from what cloth, and which side is up."""
        cloth = f"CLOTH: {self.marking.cloth}" if self.marking.cloth else ""
        return tuple([row for row in (self.cut_words(beside_fold), cloth, "RIGHT SIDE UP") if row])

    def allowance_words(self, joined: bool = False) -> str:
        """Return the allowances in one sentence; `joined` where the piece is in parts that are sewn together."""
        if self.allowances:
            return self.allowances
        if self.cutting is None:
            return "The outline is the seam line; no seam or hem allowance is included, add yours outside it."
        edges = self.ground.edges
        called = {edge.number: called_on_cloth(edge, edges) for edge in edges}
        by_edge: dict[str, list[float]] = {}
        for each in filter(None, (self.cutting.distances, self.cutting.farthest)):
            for number, far in zip(self.ground.edge_of, each, strict=True):
                by_edge.setdefault(called[number], []).append(far)
        spans = {name: (min(far), max(far)) for name, far in by_edge.items()}
        alike: dict[str, list[str]] = {}
        for name, (least, most) in spans.items():
            words = (
                show(most, self.unit) if most - least < 0.05 else f"{show(least, self.unit)} to {show(most, self.unit)}"
            )
            alike.setdefault(words if most else "none", []).append(name)
        if len(alike) == 1:
            said = next(iter(alike))
        else:
            most_edges = max(alike.values(), key=len)
            everywhere = next(words for words, names in alike.items() if names is most_edges)
            if len(most_edges) > 1 and everywhere != "none":
                rest = [f"{', '.join(names)} {words}" for words, names in alike.items() if names is not most_edges]
                said = f"{everywhere} everywhere, {', '.join(rest)}"
            else:
                said = "; ".join(f"{', '.join(names)} {words}" for words, names in alike.items())
        if joined:
            said += f"; joins {show(self.join_allowance, self.unit) if self.join_allowance else 'none'}"
        return f"Cut on the solid outer line, stitch on the broken one. Allowance included: {said}."
