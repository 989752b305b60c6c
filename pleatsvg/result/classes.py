"""The classes of a result, each a row of one table: how it looks, which layer lists it, what the key says of it, and what
becomes of it when the result is pleated once more.

Whoever writes, reads, explains or carries a line, a mark or a word asks this table. A new mark is one row here and the
function that makes it; what is made under a name that has no row is an error.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple


class Later(Enum):
    """What becomes of a line, a mark or a word when the result is pleated once more."""

    RUNS_ON = "a line that runs on through every layer of the new pleats"
    GOES_ALONG = "a mark or a word that goes with the panel that it lies on"
    STAYS = "what an earlier pass was to become, which stays where it is"
    MADE_ANEW = "what each pass makes anew"
    DRAWN = "what is read again as a part of the drawing"


class Ink(NamedTuple):
    """How a line looks: its colour, its width in mm and its dashes in mm.

    Widths say what counts at the table: cutting line over fold line over placement line over arrows. No line is under 0.35.
    """

    colour: str
    width: str
    dashes: str = ""
    filled: bool = False
    """Whether it fills a shape and draws no line."""


class EditorLayer(NamedTuple):
    """A layer of a result as an editor lists it; one that is not `always` there is written when something stands in it."""

    id: str
    plain: str
    always: bool = False
    hidden: str = ""
    """The class of a layer that is not shown, or ""."""


Strokes = tuple[tuple[tuple[float, float], ...], ...]


class Sign(NamedTuple):
    """What is drawn in the key over a row's sample line: strokes in mm, across and about the row's middle."""

    ink: Ink
    strokes: Strokes


class KeyRow(NamedTuple):
    """A row of the key; of a class that the key explains in several ways, the one for `variant`."""

    words: str
    signs: tuple[Sign, ...] = ()
    variant: str = ""
    sample: bool = True
    """Whether a sample of the line is drawn."""


@dataclass(frozen=True, slots=True, eq=False)
class ResultClass:
    """A class of a result.

    Attributes:
        name: as it stands in the file.
        layer: where it is written.
        later: what a later pass does with it.
        ink: of its own line; None for words and for what brings its own look.
        signs: of the marks that belong to such a line.
        key: its rows in the key.
        explained: where it is explained, if it has no row of its own: in another class's row, or by itself.
        crease: whether cloth is always folded along it.
        of_pleat: whether it is one of the lines that make up a pleat.
        part: the part that it plays when the result is read as a drawing, or "".
        proven: whether `fold` reads it.
        clear: whether labels look for room beside it; arrows, signs and notches have room of their own.
    """

    name: str
    layer: EditorLayer
    later: Later
    ink: Ink | None = None
    signs: Ink | None = None
    key: tuple[KeyRow, ...] = ()
    explained: str = ""
    crease: bool = False
    of_pleat: bool = False
    part: str = ""
    proven: bool = False
    clear: bool = False


_BLACK, _RED, _BLUE, _GREY, _GREEN, _BROWN = "#1a1a1a", "#b3261e", "#0b5fa5", "#5f6b66", "#1e6b3a", "#7a5200"
_VIOLET, _TINTED = "#6b2d83", "#f7f0e0"

INK = _BLACK
"""Colour of letters, and of marks that belong to no line."""

SNIP = Ink(_BLACK, "1.2")
"""A snip lies on its own fold line, and is seen by its weight."""

PLAIN = Ink(_BLACK, "0.5")
"""A mark that belongs to no line and has no look of its own."""

_TINT = EditorLayer("tint", "Tint: cloth that disappears")
_FINISHED = EditorLayer("finished-shape", "Finished shape (hidden)", True, "finished")
_CUTTING = EditorLayer("cutting-line", "Cutting line")
_FREE = EditorLayer("free-edges", "Free edges (hidden)", False, "free-edges")
_SEAM = EditorLayer("seam", "Seam line", True)
_JOINS = EditorLayer("joins", "Joins")
_FOLDS = EditorLayer("fold-lines", "Fold lines", True)
_PLACEMENTS = EditorLayer("placement-lines", "Placement lines", True)
_INNER = EditorLayer("inner-folds", "Inner folds", True)
_HIP = EditorLayer("hip-level", "Shaping level: pleats are shaped above it")
_STITCHES = EditorLayer("stitching-lines", "Stitching lines of tucks")
_NOTCHES = EditorLayer("notches", "Notches", True)
_LAPS = EditorLayer("lap-arrows", "Lap arrows", True)
_FOLD_EDGE = EditorLayer("fold-edge", "Fold edge: cut on the fold")
_BASTING = EditorLayer("basting-line", "Basting line")
_EDGE_STITCHING = EditorLayer("edge-stitching", "Edge stitching")
_STITCHING_DOWN = EditorLayer("stitching-down", "Stitching down")
_GRAIN = EditorLayer("grain", "Grainline")
_BALANCE = EditorLayer("balance-lines", "Balance lines")
_CARRIED = EditorLayer("carried", "Carried marks")
_CARRIED_WORDS = EditorLayer("carried-lettering", "Carried lettering")
_LETTERING = EditorLayer("lettering", "Lettering", True)

LAYERS = (
    _TINT,
    _FINISHED,
    _CUTTING,
    _FREE,
    _SEAM,
    _JOINS,
    _FOLDS,
    _PLACEMENTS,
    _INNER,
    _HIP,
    _STITCHES,
    _NOTCHES,
    _LAPS,
    _FOLD_EDGE,
    _BASTING,
    _EDGE_STITCHING,
    _STITCHING_DOWN,
    _GRAIN,
)
"""The layers of one pass, in the order in which they are written; those of earlier passes come behind them."""

LAYERS_ABOVE = (_BALANCE, _CARRIED, _CARRIED_WORDS, _LETTERING)
"""The layers above all passes."""

_FOLD_SIGN, _PLACE_SIGN, _STITCH_SIGN = Ink(_RED, "0.5"), Ink(_BLUE, "0.5"), Ink(_GREEN, "0.5")
_CROSSES: Strokes = (((65, -2), (69, 2)), ((65, 2), (69, -2)), ((85, -2), (89, 2)), ((85, 2), (89, -2)))
_BARS: Strokes = (((67, -3), (67, 3)), ((87, -3), (87, 3)))
_STROKE_OUT: Strokes = (((68, 3), (68, -3)),)
_SECOND_STROKE: Strokes = (((82, -3), (82, 3)),)
_TRIANGLE_OUT: Strokes = (((80, 2.5), (82, -2.5), (84, 2.5), (80, 2.5)),)
_PATCH: Strokes = (((62, -2.2), (92, -2.2), (92, 2.2), (62, 2.2)),)
_FIRST_TRIANGLE: Strokes = (((66, 2.5), (68, -2.5), (70, 2.5), (66, 2.5)),)
_ARROW: Strokes = (((89, 0), (66, 0)), ((69, -1.6), (65, 0), (69, 1.6)))
_CLIP: Strokes = (((74, 2.2), (80, -2.2)),)
_STITCHED_TO: Strokes = (((62, 0), (88, 0)), ((86.5, -2.5), (86.5, 2.5)), ((88, -2.5), (88, 2.5)))
_DOUBLE_TICK: Strokes = (((90.5, -2), (90.5, 2)), ((92, -2), (92, 2)))


def _notch_rows() -> tuple[KeyRow, ...]:
    # By how they are made, for pleats and then for tucks.
    pleats = (
        ("", "a stroke at a fold line, a triangle at a placement line"),
        ("cut", "snip into the allowance at a fold line; a triangle outwards at a placement line"),
        ("snip", "snip into the allowance at fold and placement lines, never into the seam"),
        ("triangle", "a triangle outwards at fold and placement lines"),
    )
    tucks = (
        ("tuck", "a stroke at the fold line of a tuck, triangles at its stitching lines"),
        ("cut-tuck", "snip into the allowance at the fold line of a tuck; triangles outwards at its stitching lines"),
        ("snip-tuck", "snip into the allowance at the fold and stitching lines of a tuck, never into the seam"),
        ("triangle-tuck", "triangles outwards at the fold and stitching lines of a tuck"),
    )
    rows = []
    for other, named in ((_PLACE_SIGN, pleats), (_STITCH_SIGN, tucks)):
        for variant, words in named:
            first = Sign(_FOLD_SIGN, _FIRST_TRIANGLE) if variant.startswith("triangle") else Sign(SNIP, _STROKE_OUT)
            last = Sign(SNIP, _SECOND_STROKE) if variant.startswith("snip") else Sign(other, _TRIANGLE_OUT)
            rows.append(KeyRow(f"notches: {words}", (first, last), variant, False))
    stroke, triangle = Sign(SNIP, _STROKE_OUT), Sign(PLAIN, _TRIANGLE_OUT)
    first_triangle, second_stroke = Sign(PLAIN, _FIRST_TRIANGLE), Sign(SNIP, _SECOND_STROKE)
    for variant, words, first, last in (
        ("companion", "a stroke where a fold of the pleated piece comes to lie, a triangle where", stroke, triangle),
        ("companion-cut", "a snip where a fold of the pleated piece comes to lie, a triangle where", stroke, triangle),
        ("companion-snip", "a snip where a fold of the pleated piece comes to lie, and where", stroke, second_stroke),
        (
            "companion-triangle",
            "a triangle where a fold of the pleated piece comes to lie, and where",
            first_triangle,
            triangle,
        ),
    ):
        rows.append(KeyRow(f"notches: {words} that piece begins and ends", (first, last), variant, False))
    return tuple(rows)


_FOLDED = (("", "pleats"), ("tuck", "tucks"), ("both", "pleats and tucks"))
"""What is folded on a piece, by the variant of a row."""


CLASSES: dict[str, ResultClass] = {
    row.name: row
    for row in (
        ResultClass("finished-line", _FINISHED, Later.STAYS, Ink(_GREY, "0.35"), explained="hidden", proven=True),
        ResultClass("finished-cut-line", _FINISHED, Later.STAYS, Ink(_GREY, "0.35"), explained="hidden", proven=True),
        ResultClass("ring-line", _FINISHED, Later.STAYS, Ink(_GREY, "0.35"), explained="hidden", proven=True),
        ResultClass("closed-dart", _FINISHED, Later.STAYS, Ink(_GREY, "0.35"), explained="hidden", proven=True),
        ResultClass(
            "finished-balance-line", _FINISHED, Later.STAYS, Ink(_GREY, "0.35"), explained="hidden", proven=True
        ),
        ResultClass(
            "cut-line",
            _CUTTING,
            Later.DRAWN,
            Ink(_BLACK, "1"),
            key=(KeyRow("cutting line: cut here"),),
            part="cut",
            proven=True,
        ),
        ResultClass("free-edge", _FREE, Later.RUNS_ON, Ink(_GREY, "0.5", "0.5 1"), explained="hidden", proven=True),
        # Broken as a stitching line is (Univ. of Arkansas pattern symbols); no line is under 0.35 mm.
        ResultClass(
            "seam-line",
            _SEAM,
            Later.DRAWN,
            Ink(_BLACK, "0.6", "3 1.5"),
            PLAIN,
            key=(KeyRow("seam line: stitch here"),),
            part="seam",
            proven=True,
        ),
        # Fold lines are in long dashes and placement lines dash-dotted, so that a grey print tells them from one another and
        # from the cutting line, which alone is solid.
        ResultClass(
            "fold-line",
            _FOLDS,
            Later.RUNS_ON,
            Ink(_RED, "0.8", "16 2"),
            _FOLD_SIGN,
            key=(
                KeyRow("FOLD: fold line, a cross near each end and every 20 cm", (Sign(_FOLD_SIGN, _CROSSES),)),
                KeyRow("FOLD: fold line of a tuck", variant="plain"),
            ),
            crease=True,
            of_pleat=True,
            proven=True,
        ),
        ResultClass(
            "placement-line",
            _PLACEMENTS,
            Later.RUNS_ON,
            Ink(_BLUE, "0.6", "9 2 1.5 2"),
            _PLACE_SIGN,
            key=(
                KeyRow(
                    "PLACE: placement line, a short bar at each end and every 20 cm; the fold line comes to lie here",
                    (Sign(_PLACE_SIGN, _BARS),),
                ),
            ),
            of_pleat=True,
            proven=True,
        ),
        ResultClass(
            "inner-fold-line",
            _INNER,
            Later.RUNS_ON,
            Ink(_GREY, "0.4", "1 2"),
            Ink(_GREY, "0.35"),
            key=(
                KeyRow("INNER FOLD: folds the other way, hidden underneath"),
                KeyRow(
                    "INNER FOLD: folds the other way, hidden underneath; one that says OUTWARD folds as FOLD does",
                    variant="outward",
                ),
            ),
            crease=True,
            of_pleat=True,
            proven=True,
        ),
        ResultClass(
            "stitch-line",
            _STITCHES,
            Later.RUNS_ON,
            Ink(_GREEN, "0.5", "5 1 1 1"),
            _STITCH_SIGN,
            key=(
                KeyRow(
                    "STITCH: the two stitching lines of a tuck, sewn together as far as they are drawn; the fold lies "
                    "between them"
                ),
            ),
            of_pleat=True,
            proven=True,
        ),
        # What is shaped is sewn above it, pleat by pleat; the line itself is no seam.
        ResultClass(
            "hip-level-line",
            _HIP,
            Later.MADE_ANEW,
            Ink(_BROWN, "0.5", "1.5 1.5 6 1.5"),
            key=(
                KeyRow("shaping level: pleats are shaped above it, and fall free below it"),
                KeyRow("bend: shaped pleats turn here; they fall free below the double bars", variant="curved"),
            ),
            proven=True,
        ),
        ResultClass(
            "shaping-line",
            _HIP,
            Later.MADE_ANEW,
            key=(
                KeyRow(
                    "solid, above that level: stitch FOLD onto PLACE, down to the double bar",
                    (Sign(_FOLD_SIGN, _STITCHED_TO),),
                    sample=False,
                ),
                KeyRow(
                    "solid, curved: stitch FOLD onto PLACE along it, down to the double bar",
                    (Sign(_FOLD_SIGN, _STITCHED_TO),),
                    variant="curved",
                    sample=False,
                ),
            ),
        ),
        ResultClass("shaping-end", _HIP, Later.MADE_ANEW, explained="shaping-line", clear=True),
        ResultClass("fold-end", _FOLDS, Later.GOES_ALONG, _FOLD_SIGN, explained="fold-line"),
        ResultClass("placement-end", _PLACEMENTS, Later.GOES_ALONG, _PLACE_SIGN, explained="placement-line"),
        ResultClass("stitch-end", _STITCHES, Later.GOES_ALONG, _STITCH_SIGN, explained="stitch-line", clear=True),
        ResultClass(
            "lap-arrow",
            _LAPS,
            Later.GOES_ALONG,
            _FOLD_SIGN,
            key=(
                KeyRow("lap: from the fold line to its placement line", (Sign(_FOLD_SIGN, _ARROW),), sample=False),
                KeyRow(
                    "the way a tuck is brought over: from stitching line to stitching line",
                    (Sign(_FOLD_SIGN, _ARROW),),
                    "tuck",
                    sample=False,
                ),
            ),
        ),
        ResultClass(
            "pleat-tint",
            _TINT,
            Later.MADE_ANEW,
            Ink(_TINTED, "0", filled=True),
            key=tuple(
                [
                    KeyRow(
                        f"tinted: cloth that disappears into {what}",
                        (Sign(Ink(_TINTED, "0", filled=True), _PATCH),),
                        variant,
                        sample=False,
                    )
                    for variant, what in (("", "the pleat"), ("tuck", "the tuck"), ("both", "the pleat or the tuck"))
                ]
            ),
        ),
        ResultClass("notch", _NOTCHES, Later.GOES_ALONG, key=_notch_rows()),
        ResultClass(
            "clip-mark",
            _NOTCHES,
            Later.GOES_ALONG,
            SNIP,
            key=(
                KeyRow(
                    "clip the allowance, to the lower end of the seam above the pleat", (Sign(SNIP, _CLIP),), "", False
                ),
            ),
        ),
        ResultClass(
            "baste-line",
            _BASTING,
            Later.RUNS_ON,
            Ink(_BROWN, "0.4", "6 4"),
            key=tuple(
                [
                    KeyRow(
                        f"BASTE: baste the folded {what} {where} here, before pressing",
                        variant="-".join(filter(None, (variant, of))),
                    )
                    for of, what in _FOLDED
                    for variant, where in (
                        ("", "across the top"),
                        ("lower", "across the lower edge"),
                        ("left", "at the left end"),
                        ("right", "at the right end"),
                        ("ends", "at the left end and the right end"),
                        ("passes", "at their ends, pass by pass,"),
                    )
                ]
            ),
        ),
        ResultClass(
            "edge-stitch-line",
            _EDGE_STITCHING,
            Later.RUNS_ON,
            Ink(_GREEN, "0.4", "1.5 1"),
            key=(KeyRow("EDGE STITCH: through the fold alone, to the double tick", (Sign(PLAIN, _DOUBLE_TICK),)),),
        ),
        ResultClass(
            "stitch-down-line",
            _STITCHING_DOWN,
            Later.RUNS_ON,
            Ink(_GREEN, "0.6", "4 1.2"),
            key=(KeyRow("STITCH DOWN: through all layers, to the double tick", (Sign(PLAIN, _DOUBLE_TICK),)),),
        ),
        ResultClass("fold-edge-ground", _FOLD_EDGE, Later.MADE_ANEW, Ink("#ffffff", "1.3"), explained="fold-edge"),
        ResultClass("fold-edge-run", _FOLD_EDGE, Later.MADE_ANEW, Ink(_BLACK, "0.5", "3 3"), explained="fold-edge"),
        ResultClass(
            "fold-edge",
            _FOLD_EDGE,
            Later.DRAWN,
            Ink(_BLACK, "0.5", "12 3 2 3"),
            key=(
                KeyRow(
                    "FOLD EDGE: lay this edge on a fold of the cloth; do not cut it",
                    (Sign(PLAIN, (((64, -0.4), (64, -2.4), (90, -2.4), (90, -0.4)),)),),
                ),
            ),
            proven=True,
        ),
        ResultClass("fold-edge-arrow", _FOLD_EDGE, Later.MADE_ANEW, explained="fold-edge"),
        ResultClass(
            "join-line",
            _JOINS,
            Later.MADE_ANEW,
            Ink(_BLACK, "0.5", "8 1.5 1 1.5"),
            Ink(_BLACK, "0.5"),
            key=(KeyRow("JOIN: sew the parts together here, equal numbers and notches meeting"),),
            proven=True,
        ),
        ResultClass(
            "grain-line",
            _GRAIN,
            Later.DRAWN,
            Ink(_BLACK, "0.5"),
            key=(KeyRow("grain", (Sign(PLAIN, (((66, -2), (62, 0), (66, 2)), ((88, -2), (92, 0), (88, 2)))),)),),
            part="grain",
            proven=True,
        ),
        ResultClass(
            "balance-line",
            _BALANCE,
            Later.DRAWN,
            Ink(_VIOLET, "0.5", "10 1.5 1.5 1.5 1.5 1.5"),
            key=tuple(
                [
                    KeyRow(f"balance line: lies level and unbroken across the folded {what}", variant=of)
                    for of, what in _FOLDED
                ]
            ),
            part="balance",
            proven=True,
        ),
        ResultClass("carried-line", _CARRIED, Later.DRAWN, explained="drawn by the person"),
        ResultClass("carried-text", _CARRIED_WORDS, Later.DRAWN, explained="drawn by the person"),
        ResultClass("leader", _LETTERING, Later.MADE_ANEW, explained="leads from words to their line"),
        *[
            ResultClass(f"{name}-label", _LETTERING, Later.GOES_ALONG, explained="words")
            for name in ("fold", "placement", "inner", "pleat", "stitch", "mate")
        ],
        *[
            ResultClass(f"{name}-label", _LETTERING, Later.MADE_ANEW, explained="words")
            for name in ("piece", "grain", "fold-edge", "part", "join", "seam", "edge", "balance", "notch", "hip")
        ],
    )
}
"""By name, in the order in which the key shows them and a layer holds them."""

SEEN_OF = {row.name: f"{row.name}-seen" for row in CLASSES.values() if row.of_pleat}
"""For each line of a pleat, the class of what is seen of it where it is not shown whole.

A crease is written whole, or it would not fold true. What is to be seen of it is a stroke of its own, and not dashes with
a gap to the end: programs cut those in their own ways.
"""

CLASSES.update(
    {
        name: ResultClass(name, CLASSES[of].layer, Later.RUNS_ON, CLASSES[of].ink, explained=of)
        for of, name in SEEN_OF.items()
    }
)


CREASES = frozenset([row.name for row in CLASSES.values() if row.crease])
"""Classes that are always creases; a stitch line is one where it says so."""

PLEAT_LINES = frozenset([row.name for row in CLASSES.values() if row.of_pleat])
"""Classes of the lines that make up a pleat."""

PARTS = {row.name: row.part for row in CLASSES.values() if row.part}
"""The part that a class plays when a result is read as a drawing."""


def later_of(name: str) -> Later | None:
    """Return what a later pass does with a class; None where the name is that of no class."""
    row = CLASSES.get(name)
    return None if row is None else row.later


def is_ours(name: str) -> bool:
    """Return whether a class is ours in a result that is read again; all else is read as a part of the drawing."""
    return later_of(name) not in (None, Later.DRAWN)


def is_class(name: str) -> bool:
    """Return whether a name is that of a class."""
    return name in CLASSES


def is_proven(name: str) -> bool:
    """Return whether `fold` reads a class."""
    row = CLASSES.get(name)
    return row is not None and row.proven


def key_row(name: str) -> tuple[ResultClass, KeyRow]:
    """Return a row of the key, named by its class and its variant: "notch", "notch-snip-tuck"."""
    return next(
        (row, key)
        for row in CLASSES.values()
        for key in row.key
        if name == (f"{row.name}-{key.variant}" if key.variant else row.name)
    )
