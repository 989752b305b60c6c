"""The options: one row for each, from which the command line, the job file, the Python API and README are made or tested.

A new option is one row here, and what it does: code that acts on it asks `pleatsvg.order.given.Given` for its value.
Commands, job files and `pleatsvg.api.pleat` take whatever has a row.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable
from enum import Enum
from keyword import iskeyword
from typing import TYPE_CHECKING, NamedTuple

from pleatsvg.wording import Named, for_shell, is_command, on_the_drawing

if TYPE_CHECKING:
    from pleatsvg.kinds import Kind

LAPS = ("left", "right", "up", "down", "centre", "sides")


RUNS = ("square", "grain", "level", "fan")


ENDS = ("half", "full")


STITCHED_FROM = ("top", "hem", "middle")


NOTCHES = ("snip", "triangle")


class Value(Enum):
    """What kind of value an option takes."""

    LENGTH = "a length with its unit"
    NUMBER = "a whole number"
    AMOUNT = "a number"
    WORD = "one of a few words"
    TEXT = "a text"
    FLAG = "true or false"
    EDGES = "a length, or lengths by the edge"
    FILE = "a file"


class Of(Enum):
    """What an option speaks of, and so where it may stand.

    Pleats and lines may differ within a piece, so they stand in every run of `pleats=[...]` and `[[piece.pleat]]`.
    """

    PLEATS = "what each pleat is"
    LINES = "where the lines of the pleats lie"
    PIECE = "the piece as a whole"
    READING = "how a drawing is read"
    CHOICE = "which piece, and what is sewn to it"
    COMMAND = "the command itself"


class Group(Enum):
    """Under which heading help lists an option, in this order."""

    PLEAT = "The pleat"
    LINES = "The lines"
    MARKS = "Allowance and marks"
    PIECE = "The piece"
    FILE = "The file"


_GROUPS = {Of.PLEATS: Group.PLEAT, Of.LINES: Group.LINES, Of.COMMAND: Group.FILE}


def _kinds() -> Collection[str]:
    from pleatsvg.kinds import KINDS  # help comes at once without them

    return KINDS


class Option(NamedTuple):
    """One option; always made by keyword.

    Attributes:
        name: in Python and in a job file; on the command line it has hyphens.
        of: what it speaks of.
        value: what kind of value it takes.
        help: what it does, for the person.
        metavar: what stands for its value in help; "" where it has none.
        takes: the words that it may be, where it takes one of a few, or instead of a length; or what returns them.
        or_full: "full" stands for the whole length.
        many: it may be given several times, or as a list.
        default: where it is left out; None where that means that it is not asked for.
        kinds: whether a kind takes it.
        unlike: why a kind does not take it, after "a knife pleat": "has no face of its own"; "" where every kind does.
        own_to_kind: a slash line whose name says another kind leaves it behind.
        in_names: the word that stands before its length in the name of a slash line, or "".
        instead_of: an option that this one is given instead of, or "".
        marks: of those that speak of the piece, whether it is about its allowance or its marks.
        first: what stands for its help on the first screen, where most people need it.
        letter: of its short form on the command line, or "".
        commands: that take it.
    """

    name: str
    of: Of
    value: Value
    help: str
    metavar: str = ""
    takes: Collection[str] | Callable[[], Collection[str]] = ()
    or_full: bool = False
    many: bool = False
    default: str | None = None
    kinds: Callable[[Kind], bool] = lambda kind: True
    unlike: str = ""
    own_to_kind: bool = False
    in_names: str = ""
    instead_of: str = ""
    marks: bool = False
    first: str = ""
    letter: str = ""
    commands: tuple[str, ...] = ("pleat",)

    @property
    def words(self) -> Collection[str]:
        """What it may be, where it takes one of a few words."""
        return self.takes() if callable(self.takes) else self.takes

    @property
    def group(self) -> Group:
        """The heading under which help lists it."""
        return Group.MARKS if self.marks else _GROUPS.get(self.of, Group.PIECE)

    @property
    def flag(self) -> str:
        """Its long form on the command line."""
        return f"--{self.name.replace('_', '-')}"

    @property
    def parameter(self) -> str:
        """A name for it that Python takes as one of a function's parameters."""
        return f"{self.name}_" if iskeyword(self.name) else self.name


ROWS = (
    Option(
        name="output",
        first="The result, an SVG file; needed.",
        of=Of.COMMAND,
        value=Value.FILE,
        metavar="OUT",
        letter="o",
        help="The result: an SVG file, or - for standard output. Needed.",
    ),
    Option(
        name="kind",
        first="knife, box, inverted, kick, tuck or pin-tuck.",
        of=Of.PLEATS,
        value=Value.WORD,
        metavar="KIND",
        takes=_kinds,
        help="knife, box, inverted, kick, tuck or pin-tuck. Needed, unless the names of the slash lines say it "
        "('slash 2 inverted 12cm').",
    ),
    Option(
        name="intake",
        first="Flat width that each pleat takes up, such as 6cm.",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        in_names="intake",
        help="Flat width that each pleat takes up: 2 x depth for a knife, 4 x depth for box and inverted.",
    ),
    Option(
        name="depth",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        in_names="depth",
        instead_of="intake",
        help="Outer fold to inner fold; instead of --intake.",
    ),
    Option(
        name="hem_intake",
        first="Intake at the hem, where it differs; 0: dies away.",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        in_names="hem",
        help="Intake at the hem, where it differs; 0 for a hinged pleat.",
    ),
    Option(
        name="lap",
        first="left, right, up, down, centre or sides: where folds point.",
        of=Of.PLEATS,
        value=Value.WORD,
        metavar="WAY",
        takes=LAPS,
        kinds=lambda kind: kind.needs_lap,
        unlike="is alike on both sides",
        help="The way the outer folds point, right side up: left, right, up, down, centre or sides. A knife pleat needs it.",
    ),
    Option(
        name="face",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        kinds=lambda kind: kind.to_before.has_face,
        unlike="has no face of its own",
        own_to_kind=True,
        in_names="face",
        help="Width of a box pleat's face; left out, 2 x depth.",
    ),
    Option(
        name="stack",
        of=Of.PLEATS,
        value=Value.NUMBER,
        metavar="N",
        kinds=lambda kind: kind.stacks,
        unlike="cannot be stacked",
        own_to_kind=True,
        help="Layers of each pleat on one another: 2 for double pleats.",
    ),
    Option(
        name="stitched",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        kinds=lambda kind: kind.stitched,
        unlike="is not stitched along its fold",
        own_to_kind=True,
        in_names="stitched",
        help="Released tucks: how far each is stitched; left out, all along.",
    ),
    Option(
        name="stitched_from",
        of=Of.PLEATS,
        value=Value.WORD,
        metavar="top|hem|middle",
        takes=STITCHED_FROM,
        kinds=lambda kind: kind.stitched,
        unlike="is not stitched along its fold",
        own_to_kind=True,
        help="Where that stitching lies.",
    ),
    Option(
        name="height",
        of=Of.PLEATS,
        value=Value.LENGTH,
        metavar="LENGTH",
        kinds=lambda kind: kind.kicks,
        unlike="runs from top to hem",
        in_names="height",
        help="Height of a kick pleat, up from the hem.",
    ),
    Option(
        name="underlay",
        of=Of.PLEATS,
        value=Value.WORD,
        metavar="whole|separate",
        takes=("whole", "separate"),
        kinds=lambda kind: kind.backed,
        unlike="has no underlay that can be a piece of its own",
        help="Inverted and kick pleats: the underlay in one with the piece, or a piece of its own.",
    ),
    Option(
        name="weight",
        of=Of.LINES,
        value=Value.AMOUNT,
        metavar="N",
        commands=(),
        help="With --fit-waist: how much vanishes in each of these pleats beside the others; 0 keeps them straight. With "
        "--pivot: how much of the dart opens at each.",
    ),
    Option(
        name="share",
        of=Of.LINES,
        value=Value.LENGTH,
        metavar="LENGTH",
        in_names="share",
        commands=(),
        help="With --fit-waist: so much vanishes in each of these pleats. With --pivot: so wide each opens at the seam.",
    ),
    Option(
        name="slash",
        first="Only this line, by name or number; repeat for more.",
        of=Of.LINES,
        value=Value.TEXT,
        metavar="NAME",
        many=True,
        help="Slash along this line only (repeat for more); 'all' takes every straight line across.",
    ),
    Option(
        name="at",
        of=Of.LINES,
        value=Value.LENGTH,
        metavar="LENGTH",
        many=True,
        help="Place a line this far along the top seam from its left end (repeat for more).",
    ),
    Option(
        name="count",
        first="So many lines at equal spaces, where none are drawn.",
        of=Of.LINES,
        value=Value.NUMBER,
        metavar="N",
        instead_of="at",
        help="Place N lines at equal spaces along the top seam, half a space at its ends.",
    ),
    Option(
        name="ends",
        of=Of.LINES,
        value=Value.LENGTH,
        metavar="half|full|LENGTH",
        takes=ENDS,
        help="With --count or --spacing: what is left at both ends of the seam: half a space, a full one, or a margin.",
    ),
    Option(
        name="spacing",
        of=Of.LINES,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="Place lines so far apart along the seam: about its centre, or from --at on; --count of them, or as many as fit.",
    ),
    Option(
        name="gap",
        of=Of.LINES,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="With --count: a run of N lines so far apart, beginning at each line drawn or placed.",
    ),
    Option(
        name="run",
        of=Of.LINES,
        value=Value.WORD,
        metavar="HOW",
        takes=RUNS,
        default="square",
        help="How placed lines run: square to the seam, along the grain, level (square to the grain), or fan to the hem.",
    ),
    Option(
        name="along",
        of=Of.LINES,
        value=Value.TEXT,
        metavar="EDGE",
        help="Place lines along this edge, as 'measure' names it, not along the top.",
    ),
    Option(
        name="pass",
        of=Of.LINES,
        value=Value.NUMBER,
        metavar="N",
        commands=(),
        help="In which pass these pleats are made: 2 for pleats across those of the first.",
    ),
    Option(
        name="allowance",
        marks=True,
        first="On every edge: 15mm; on one: hem=4cm; repeat for more.",
        of=Of.PIECE,
        value=Value.EDGES,
        metavar="LENGTH",
        many=True,
        help="Seam allowance outside the seam line, on every edge: 15mm; or on one edge: 'hem=4cm', 'left side=2cm' "
        "(repeat for more; edges as 'measure' names or numbers them).",
    ),
    Option(
        name="allowance_drawn",
        marks=True,
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="The outline drawn is the cutting line; the seam lies so far inside it.",
    ),
    Option(
        name="hem_turn",
        marks=True,
        of=Of.PIECE,
        value=Value.FLAG,
        help="Mirror the sides across the hem line, so that the hem turned up matches them.",
    ),
    Option(
        name="dart_lies",
        marks=True,
        of=Of.PIECE,
        value=Value.WORD,
        metavar="WAY",
        takes=LAPS,
        many=True,
        help="Which way a drawn dart is pressed: left, right, centre or sides, for one in a side up or down; repeatable. The "
        "allowance over it is cut for that; left out, it does for either way.",
    ),
    Option(
        name="pivot",
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="DART",
        many=True,
        help="Close this drawn dart, and open its angle at the slash lines that end at its point, as hinged pleats or tucks: "
        "by the name of its legs or of its edge ('top'), 'dart', 'dart 2' from the left, or 'all'; repeatable.",
    ),
    Option(
        name="mark",
        marks=True,
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="full|LENGTH",
        or_full=True,
        help="How far down from the top fold and placement lines are drawn; fitted ones, from where they are stitched down to.",
    ),
    Option(
        name="notch",
        marks=True,
        of=Of.PIECE,
        value=Value.WORD,
        metavar="snip|triangle",
        takes=NOTCHES,
        help="One notch for both kinds of line; left out, a snip at fold lines, a triangle at placement lines.",
    ),
    Option(
        name="stitch_down",
        marks=True,
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="Stitch beside each fold, through all layers, so far down.",
    ),
    Option(
        name="edge_stitch",
        marks=True,
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="full|LENGTH",
        or_full=True,
        help="Stitch each fold through by itself, 2 mm from it, so far down.",
    ),
    Option(
        name="fold_edge",
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="EDGE",
        help="The seam edge that is cut on the fold of the cloth.",
    ),
    Option(
        name="open_fold",
        of=Of.PIECE,
        value=Value.FLAG,
        help="Write the whole piece, opened out at its fold edge.",
    ),
    Option(
        name="cloth_width",
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="Width of the cloth: a wider flat piece is parted at inner folds, with the fewest joins.",
    ),
    Option(
        name="ring",
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="EDGE=EDGE",
        help="These two sides of the piece are sewn to each other: its pleats run on all round, each join at an inner fold, "
        "and the last pleat closes the ring ('left side=right side').",
    ),
    Option(
        name="finish_to",
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="The drawing is the flat cloth across, and its folded top seam comes to this length: the intake is found for the "
        "lines drawn or --count, or the count for --intake. Without it, the drawing is the finished piece, and grows.",
    ),
    Option(
        name="balance",
        of=Of.PIECE,
        value=Value.EDGES,
        metavar="NAME=LENGTH",
        many=True,
        help="With --finish-to: a balance line such as the hip comes to a length as well, by tapered pleats.",
    ),
    Option(
        name="fit_waist",
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="The folded top comes to this length: each pleat takes in more towards the top, so that hip and waist both fit. "
        "Say from where up with --hip or --fit-length; the intake holds there. Of a half piece, the length of the half; "
        "opened out, of the whole; all round, of the ring.",
    ),
    Option(
        name="hip",
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="NAME",
        help="With --fit-waist or --darts: the pleats are shaped from this balance line up, by its name, and stitched down to "
        "it.",
    ),
    Option(
        name="fit_length",
        of=Of.PIECE,
        value=Value.LENGTH,
        metavar="LENGTH",
        help="Instead of --hip: each pleat is shaped so far down from the top.",
    ),
    Option(
        name="shaping",
        of=Of.PIECE,
        value=Value.WORD,
        metavar="straight|curved",
        takes=("straight", "curved"),
        help="With --fit-waist or --darts: above that level pleats are stitched along straight lines that lean, or along "
        "curves, over a body that rounds; of curves the intake holds half-way up. Left out, straight.",
    ),
    Option(
        name="darts",
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="nearest|all",
        many=True,
        help="Drawn darts of the top are closed into the pleats: what each takes in goes to the lines either side of it "
        "(nearest) or to all lines evenly; 'dart 1=nearest' takes this one only, repeatable. The pleats are shaped down to the "
        "darts' depth, or as --hip or --fit-length says.",
    ),
    Option(
        name="hem",
        of=Of.PIECE,
        value=Value.WORD,
        metavar="folded|smooth",
        takes=("folded", "smooth"),
        help="The hem over hidden cloth: trued as folded, or one smooth curve for pleats that hang open.",
    ),
    Option(
        name="pair",
        marks=True,
        of=Of.PIECE,
        value=Value.FLAG,
        help="The piece is cut twice, the second time mirrored.",
    ),
    Option(
        name="cut",
        marks=True,
        of=Of.PIECE,
        value=Value.NUMBER,
        metavar="N",
        help="How often the piece is cut, printed on every part; with --pair, both hands counted.",
    ),
    Option(
        name="cloth",
        marks=True,
        of=Of.PIECE,
        value=Value.TEXT,
        metavar="TEXT",
        help="What it is cut from, such as calico, printed on every part.",
    ),
    Option(
        name="continue",
        of=Of.CHOICE,
        value=Value.TEXT,
        metavar="EDGE=DRAWING",
        help="Lay the piece that is sewn to this edge against it: pleats may lie at that seam (--slash EDGE) or run on "
        "beneath it, and the two are parted at an inner fold instead.",
    ),
    Option(
        name="piece",
        of=Of.CHOICE,
        value=Value.TEXT,
        metavar="NAME",
        commands=("measure", "pleat"),
        help="Which piece, where the drawing holds several.",
    ),
    Option(
        name="drawing_unit",
        of=Of.READING,
        value=Value.LENGTH,
        metavar="LENGTH",
        commands=("measure", "pleat"),
        help="What one unit of the drawing measures, where the file says it wrongly.",
    ),
    Option(
        name="shows",
        of=Of.READING,
        value=Value.WORD,
        metavar="right|wrong",
        takes=("right", "wrong"),
        default="right",
        commands=("measure", "pleat"),
        help="The side of the cloth that the drawing shows.",
    ),
    Option(
        name="companion",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="NAME=DRAWING:EDGE",
        many=True,
        help="Notch what is sewn to the pleated edge, such as a waistband, where the folds come to lie, and hold its EDGE "
        "against the folded length; 'from 3cm' or 'beyond 3cm' behind EDGE where it runs on. Written beside OUT, under "
        "OUT-NAME.svg (repeat for more).",
    ),
    Option(
        name="force",
        first="Write over the result if it is there.",
        of=Of.COMMAND,
        value=Value.FLAG,
        help="Write over OUT if it is there.",
    ),
    Option(
        name="watch",
        of=Of.COMMAND,
        value=Value.FLAG,
        help="Make OUT anew each time DRAWING is saved, until Ctrl-C; after a refusal the last good one stands.",
    ),
    Option(
        name="json",
        of=Of.COMMAND,
        value=Value.FLAG,
        commands=("measure", "pleat", "fold"),
        help="Print everything as JSON, lengths in mm.",
    ),
    Option(
        name="paper",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="PAPER",
        default="A4",
        commands=("tile", "card", "sample"),
        help="A4, A3, A2, A1, A0, letter, legal, tabloid, a size such as 210mmx297mm, roll:91cm, or one for a single page "
        "of the piece's own size.",
    ),
    Option(
        name="margin",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="LENGTH|SIDE=LENGTH",
        many=True,
        commands=("tile", "card", "sample"),
        help="What a sheet keeps free: of all sides, or of left, right, sides, top or foot; repeat for more. Left out: sides "
        "10mm, top 12mm, foot 18mm.",
    ),
    Option(
        name="length",
        of=Of.COMMAND,
        value=Value.LENGTH,
        metavar="LENGTH",
        commands=("card",),
        help="How long the fold line is; needed where the intake at the hem is another one.",
    ),
    Option(
        name="overlap",
        of=Of.COMMAND,
        value=Value.LENGTH,
        metavar="LENGTH",
        default="10mm",
        commands=("tile",),
        help="How far a page runs on under the next one, to the right and below; 0mm to lay them edge to edge.",
    ),
    Option(
        name="turn",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="DEGREES",
        commands=("tile",),
        help="Turn the piece so far clockwise, 0 for as it is drawn. Left out, it lies as needs the fewest pages.",
    ),
    Option(
        name="together",
        of=Of.COMMAND,
        value=Value.FLAG,
        commands=("tile",),
        help="Several results share pages.",
    ),
    Option(
        name="scale",
        of=Of.COMMAND,
        value=Value.WORD,
        metavar="1:2|1:4|1:5",
        takes=("1:1", "1:2", "1:4", "1:5"),
        default="1:1",
        commands=("tile",),
        help="Print it smaller, for a class; every page says so.",
    ),
    Option(
        name="mirror",
        of=Of.COMMAND,
        value=Value.FLAG,
        commands=("tile",),
        help="Print it mirrored, to be traced on the wrong side of the cloth; every page says so.",
    ),
    Option(
        name="without",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="LAYER",
        many=True,
        commands=("tile",),
        help="Leave out a layer, as the vector editor lists it ('inner folds'); repeat for more.",
    ),
    Option(
        name="ink",
        of=Of.COMMAND,
        value=Value.WORD,
        metavar="colour|black",
        takes=("colour", "black"),
        default="colour",
        commands=("tile",),
        help="black tells all lines apart by their dashes alone.",
    ),
    Option(
        name="format",
        of=Of.COMMAND,
        value=Value.WORD,
        metavar="pdf|svg",
        takes=("pdf", "svg"),
        default="pdf",
        commands=("tile",),
        help="One PDF, or a folder with one SVG for each page.",
    ),
)
"""In the order in which help lists them."""


OPTIONS = {row.name: row for row in ROWS}


def as_listed(value: object, words: Iterable[str]) -> str | None:
    """Return the one of a few words that is meant, in any case, with a blank for its hyphen or in the other spelling.

    >>> as_listed("Left", LAPS), as_listed("center", LAPS), as_listed("Pin Tuck", ("tuck", "pin-tuck")), as_listed("x", LAPS)
    ('left', 'centre', 'pin-tuck', None)
    """
    if not isinstance(value, str):
        return None
    plain = _PARTED.sub("", value).casefold()
    plain = _SPELT_OTHERWISE.get(plain, plain)
    return next((word for word in words if _PARTED.sub("", word) == plain), None)


_PARTED = re.compile(r"[\s_-]+")


_SPELT_OTHERWISE = {"center": "centre", "centres": "centre", "color": "colour", "inch": "in", "inches": "in"}


def names_of(*subjects: Of) -> tuple[str, ...]:
    """Return the names of the options that speak of these."""
    return tuple([row.name for row in ROWS if row.of in subjects])


PLEAT_OPTIONS = names_of(Of.PLEATS, Of.LINES)
"""The options that may differ from pleat to pleat of one piece."""


PIECE_OPTIONS = names_of(Of.PIECE)
"""The options that hold for a whole piece."""


def taken_by(command: str) -> tuple[Option, ...]:
    """Return the options of a command, in the order of its help."""
    return tuple([row for row in ROWS if command in row.commands])


def on_command_line(named: Named) -> str:
    """Return an option as it is typed.

    >>> on_command_line(Named("hem_intake", "8cm")), on_command_line(Named("slash", "right side"))
    ('--hem-intake 8cm', "--slash 'right side'")
    """
    if is_command(named):
        return on_the_drawing(named)
    row = OPTIONS[named.name]
    if named.value is None or named.value is True:
        return row.flag
    return f"{row.flag} {for_shell(str(named.value))}"


def in_job_file(named: Named) -> str:
    """Return an option as a key of a job file; one of a command only is given when the job is run.

    >>> in_job_file(Named("hem_intake", "8cm")), in_job_file(Named("pair", True)), in_job_file(Named("force", True))
    ('hem_intake = "8cm"', 'pair = true', '--force')
    """
    if is_command(named) or OPTIONS[named.name].of is Of.COMMAND:
        return on_command_line(named)
    value = named.value
    if value is None:
        return named.name
    return f'{named.name} = "{value}"' if isinstance(value, str) else f"{named.name} = {_in_toml(value)}"


def _in_toml(value: int) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
