"""The options of `plan`: one row for each. Those that `pleat` has too are called as they are there."""

from __future__ import annotations

from pleatsvg.order.options import OPTIONS, Of, Option, Value

_OWN = ("plan",)


def _length(name: str, help: str) -> Option:
    return Option(name=name, of=Of.COMMAND, value=Value.LENGTH, metavar="LENGTH", help=help, commands=_OWN)


def _flag(name: str, help: str) -> Option:
    return Option(name=name, of=Of.COMMAND, value=Value.FLAG, help=help, commands=_OWN)


def _file(name: str, metavar: str, help: str) -> Option:
    return Option(name=name, of=Of.COMMAND, value=Value.FILE, metavar=metavar, help=help, commands=_OWN)


def _as_in_pleat(name: str, help: str) -> Option:
    return OPTIONS[name]._replace(help=help, commands=_OWN)


ROWS = (
    _as_in_pleat("kind", "knife, box, inverted, tuck or pin-tuck; left out, knife pleats."),
    _length("finished", "Width that the pleats are to finish to, such as the waist or one panel of it."),
    _length("body", "The body's measure instead of --finished; --ease is added to it."),
    _length("ease", "Added to --body; left out, nothing."),
    _as_in_pleat("count", "How many pleats or tucks."),
    _length(
        "spacing", "From one pleat to the next as seen: fold to fold, or middle to middle of box and inverted pleats."
    ),
    _as_in_pleat("depth", "Outer fold to inner fold; instead of --intake."),
    _as_in_pleat(
        "intake", "Flat width that one takes up: 2 x depth of a knife pleat or tuck, 4 x depth of box and inverted."
    ),
    _flag("full", "Full pleats: each underlay reaches the next pleat, flat = 3 x finished."),
    _as_in_pleat("face", "Width of a box pleat's face; left out, 2 x depth."),
    _as_in_pleat("gap", "Tucks: the cloth seen from the fold of one to the stitching of the next."),
    _length("margin", "What is left free at both ends, before the first and after the last; left out, half a space."),
    Option(
        name="ends",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="half|full|LENGTH",
        help="What is left at both ends: half a space, a full one, or a length, which is a --margin. Left out, half.",
        commands=_OWN,
    ),
    _length("plain", "Part of the finished width that stays without pleats, at the left end, such as a kilt's apron."),
    _length("apart", "One pleat more, with this intake of its own at every level (repeat for more).")._replace(
        many=True
    ),
    Option(
        name="balance",
        of=Of.COMMAND,
        value=Value.TEXT,
        metavar="NAME=LENGTH",
        many=True,
        help="Finished width at another level of the same straight cloth, such as 'hip=96cm' (repeat for more).",
        commands=_OWN,
    ),
    _as_in_pleat(
        "fit_waist", "Width of the waist, with the finished width at the hip: each pleat is shaped between the two."
    ),
    _as_in_pleat("fit_length", "With --fit-waist: from waist to hip; left out, 20 cm."),
    _flag("ring", "The width closes all round, as a waist does: no ends, the last pleat meets the first."),
    _length("flat", "Width of cloth, flat, that is to be pleated; 3m and 2 1/2yd are read too."),
    _as_in_pleat(
        "lap", "The way the outer folds point, right side up: left, right, centre or sides; for the list of marks."
    ),
    _length("repeat", "Repeat of a stripe or check: spacing and intake together come to whole repeats."),
    _length("repeat_start", "Where the first stripe lies, from the edge of the cloth."),
    _length("fold_loss", "Width lost in turning at each fold, as measured on a folded sample."),
    _as_in_pleat("cloth_width", "Width of the cloth as it is sold: strips, joins at inner folds, and how much to buy."),
    _length("length", "Finished length of the piece, from top to hem."),
    _length("bottom", "Finished width at the hem of a plain gore; left out, the panel is straight."),
    _length("top", "Finished width at the top of a plain gore: the same as --finished."),
    _as_in_pleat(
        "allowance",
        "Seam allowance on every edge: 15mm; or on one: 'hem=4cm', 'top=1cm', 'left side=2cm', 'sides=1cm' (repeat for more).",
    ),
    _flag("nap", "The cloth has a one-way nap or print: all pieces lie the same way up."),
    _as_in_pleat("cut", "How many such pieces the cloth is for; left out, one."),
    _length("have", "How much cloth there is, along its selvedge: is it enough?"),
    Option(
        name="unit",
        of=Of.COMMAND,
        value=Value.WORD,
        metavar="mm|cm|in",
        takes=("mm", "cm", "in"),
        help="The unit to answer in; left out, that of the width.",
        commands=_OWN,
    ),
    _file(
        "draw", "PIECE.svg", "Write the drawing of a plain panel or gore, with slash lines, for 'pleat' and any editor."
    ),
    _file("job", "FILE.toml", "Write a job file for 'batch' with what the plan says."),
    _flag("force", "Write over PIECE.svg and FILE.toml if they are there."),
    _flag("json", "Print everything as JSON, lengths in mm."),
)
"""In the order in which help lists them."""


PLAN_OPTIONS = {row.name: row for row in ROWS}
