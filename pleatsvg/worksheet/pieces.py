"""The pieces that a sheet is for: proven, with all that their results say and show."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from pleatsvg.card.cards import Card, cards_of, unit_of
from pleatsvg.drawing.read_result import result_from
from pleatsvg.drawing.shown.read_shown import shown_from
from pleatsvg.errors import FitError
from pleatsvg.kinds import KINDS, is_kick
from pleatsvg.length import told_in
from pleatsvg.pleats.words import counted
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.folded_pass import Span
from pleatsvg.proof.prove import proven
from pleatsvg.result.figures import PleatFigures
from pleatsvg.result.pattern_lines import ResultPiece
from pleatsvg.result.shaped import BEND
from pleatsvg.result.shown import ShownShape

_BARE = "No seam or hem allowance is included: add yours outside the outline before you cut."


@dataclass(frozen=True)
class WorkPiece:
    """A piece of a result.

    Attributes:
        source: the file's name.
        drawn: what the result says of it.
        proof: that holds.
        shapes: of its flat picture, in the order of painting.
        heading: rows above the flat piece.
        called: what a job calls it; "" for what stands on its pattern.
    """

    source: str
    drawn: ResultPiece
    proof: Proof
    shapes: tuple[ShownShape, ...]
    heading: tuple[str, ...]
    called: str = ""

    @property
    def name(self) -> str:
        """What it is called."""
        return self.called or self.proof.piece

    @property
    def found_as(self) -> str:
        """What it is called, and where that is another name the one by which its pattern is found."""
        on_pattern = self.proof.piece
        return self.name if self.name == on_pattern else f"{self.name} ('{on_pattern}' on its pattern)"

    @property
    def pleats(self) -> tuple[PleatFigures, ...]:
        """The figures of its pleats."""
        return self.proof.pleats

    @property
    def pleats_in_words(self) -> str:
        """How many there are: "3 pleats and 2 pin tucks"; of a companion, its notches: "notches for 3 folds"."""
        if self.is_companion:
            folds = sum([count for _, count in self.proof.sewn_to])
            return f"notches for {folds} fold{'' if folds == 1 else 's'}" if folds else "notches for what is sewn to it"
        return counted([pleat.kind for pleat in self.pleats])

    @property
    def is_companion(self) -> bool:
        """Whether it has no pleats, and is sewn to pieces that have."""
        return bool(self.proof.sewn_to) and not self.pleats

    def sewn_words(self, unit: str) -> tuple[str, ...]:
        """Of a companion, what its heading says of the sewing, in sentences, lengths in a unit."""
        rows = [row for row in self.heading if " is sewn to " in row or row.startswith("The sewing begins")]
        return tuple([told_in(row, unit) for row in rows])

    @property
    def unit(self) -> str:
        """The unit that the result tells its lengths in."""
        return unit_of(self._labels)

    @property
    def _labels(self) -> list[str]:
        return [words.text for words in self.drawn.words if words.tag.role == "pleat-label"]

    @cached_property
    def _cards(self) -> tuple[tuple[Card, ...], dict[int, str]]:
        try:
            return cards_of([self.proof], self._labels)
        except FitError:
            return (), {pleat.number: pleat.kind for pleat in self.pleats}

    @property
    def cards(self) -> tuple[Card, ...]:
        """The cards for its pleats; none where all are too small for one."""
        return self._cards[0]

    @property
    def without_card(self) -> tuple[int, ...]:
        """The numbers of the pleats that are too small for a card."""
        return tuple(self._cards[1])

    @property
    def passes(self) -> tuple[int, ...]:
        """Its passes in the order in which they are folded."""
        return tuple([done.number for done in self.proof.passes])

    def has(self, role: str) -> bool:
        """Whether it bears a line or a mark of a class."""
        return bool(self.drawn.found.get(role))

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds of its pleats."""
        return frozenset([pleat.kind for pleat in self.pleats])

    @property
    def fitted(self) -> bool:
        """Whether its pleats are shaped towards the top."""
        return any(pleat.intake.hip is not None for pleat in self.pleats)

    @property
    def shaped_at(self) -> str:
        """What the level is called at which the lines of a fitted piece bend: "hip"; "" of all others."""
        return self.proof.passes[0].shaped_at

    @property
    def curved(self) -> bool:
        """Whether its pleats are stitched along curves, from double bars below that level."""
        return self.shaped_at == BEND

    @property
    def tucks_only(self) -> bool:
        """Whether every pleat is a tuck."""
        return all(is_stitched(kind) for kind in self.kinds)

    @property
    def has_kick(self) -> bool:
        """Whether one is a kick pleat."""
        return any(is_kick(kind) for kind in self.kinds)

    def level(self, pass_: int) -> bool:
        """Whether the pleats of a pass run across the page."""
        done = next(done for done in self.proof.passes if done.number == pass_)
        return any(abs((one.hem - one.top).real) > abs((one.hem - one.top).imag) for one in done.creases)

    def ends(self, pass_: int) -> tuple[str, str]:
        """What the two ends of the lines of a pass are called."""
        if self.level(pass_):
            return "left end", "right end"
        return "top", "hem" if self.edge("hem") else "lower end"

    def edge(self, name: str) -> bool:
        """Whether an edge has this name."""
        said = re.compile(rf"{re.escape(name)}\b", re.IGNORECASE)
        return any(said.match(words.text) for words in self.drawn.words if words.tag.role == "edge-label")

    @property
    def round_lengths(self) -> tuple[float, float] | None:
        """Of a ring, how long one round of it is, folded, at the top and at the hem, as the proof tells it to 0.1 mm."""
        for note in self.proof.notes:
            said = re.search(r"all round: folded, ([\d.]+) mm at the top and ([\d.]+) mm at the hem", note)
            if said:
                return float(said[1]), float(said[2])
        return None

    @property
    def cut_words(self) -> tuple[str, ...]:
        """How often it is cut and from what, as stands on its cloth; empty where nothing is said of it."""
        said = dict.fromkeys(
            [words.text for words in self.drawn.words if words.tag.role in ("piece-label", "part-label")]
        )
        rows = [row for row in said if re.match(r"CUT( A PAIR| \d| ON THE FOLD|$)|CLOTH: ", row)]
        return tuple([row[0] + row[1:].lower() if row.startswith("CUT") else f"Cloth: {row[7:]}" for row in rows])

    def allowance_words(self, unit: str) -> str:
        """What allowance it has, in a sentence, lengths in a unit."""
        if not self.has("cut-line"):
            return _BARE
        said = next(
            (row[row.index("Allowance included:") :] for row in self.heading if "Allowance included:" in row), ""
        )
        return told_in(f"Cut on the solid outer line. {said or 'The allowance is included.'}", unit)

    def strokes(self, role: str) -> dict[tuple[int, int], float]:
        """Return how long lines of a class are drawn, by pass and pleat, in mm: the longest stroke of each."""
        found: dict[tuple[int, int], float] = {}
        for shape in self.shapes:
            if shape.tag is not None and shape.tag.role == role:
                key = (shape.tag.pass_, shape.tag.pleat)
                for stroke in shape.strokes:
                    far = abs(stroke.segments[-1][-1] - stroke.segments[0][0])
                    found[key] = max(found.get(key, 0.0), far)
        return found

    def stitched(self, pass_: int) -> dict[int, tuple[float, float, float]]:
        """Return how the released tucks of a pass are stitched, by pleat: from where to where below its top when later passes
        are folded, and the whole length of its line there."""
        done = next(done for done in self.proof.passes if done.number == pass_)
        return {
            one.line.pleat: (*one.line.tag.stitched, abs(one.hem - one.top))
            for one in done.creases
            if one.line.role == "stitch-line" and one.line.tag.stitched is not None and not one.other_half
        }

    def seen(self, pass_: int, role: str) -> dict[int, tuple[float, float, float]]:
        """Return what is seen of the lines of a pass, by pleat: from where to where below its top, and its whole length.

        Nothing is found where they are shown whole, nor of a piece in parts, whose lines do not lie as they are folded.
        """
        done = next(done for done in self.proof.passes if done.number == pass_)
        if self.has("join-line"):
            return {}
        spans: dict[int, list[Span]] = {}
        for one in (*done.creases, *[landing.span for landing in done.landings]):
            if one.line.role == role and not one.other_half:
                spans.setdefault(one.line.pleat, []).append(one)
        found: dict[int, tuple[float, float, float]] = {}
        for shape in self.shapes:
            tag = shape.tag
            if tag is None or tag.role != f"{role}-seen" or tag.pass_ != pass_:
                continue
            for span in spans.get(tag.pleat, ()):
                long = abs(span.hem - span.top)
                way = ((span.hem - span.top) / long).conjugate()
                ends = [z for stroke in shape.strokes for seg in stroke.segments for z in (seg[0], seg[-1])]
                places = [(z - span.top) * way for z in ends]
                if max(abs(place.imag) for place in places) < 1.0:
                    low, high = min(place.real for place in places), max(place.real for place in places)
                    found[tag.pleat] = (max(low, 0.0), min(high, long), long)
        return found


def is_stitched(kind: str) -> bool:
    """Whether pleats of a kind are stitched along their line: tucks."""
    return kind in KINDS and KINDS[kind].stitched


def pieces_of(source: str, data: bytes, called: str = "") -> list[WorkPiece]:
    """Return the pieces of a result.

    Args:
        source: the file's name.
        data: its bytes.
        called: what a job calls the result; in several pieces they keep the names that stand on them.

    Raises:
        DrawingError: it is no result.
        ProofError: it does not fold true.
    """
    result = result_from(data, source)
    shown = shown_from(data, source)
    shapes = [item for item in shown.body if isinstance(item, ShownShape)]
    drawn = [piece for piece in result.pieces if piece.by_role("seam-line")]
    found: list[WorkPiece] = []
    for piece in drawn:
        proof = proven(piece, source, "sewn from")
        own = [one for one in shapes if len(drawn) == 1 or (one.tag is not None and one.tag.piece == piece.name)]
        found.append(WorkPiece(source, piece, proof, tuple(own), shown.heading, called if len(drawn) == 1 else ""))
    return found
