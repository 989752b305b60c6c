"""A job file to fill in, written from the drawings in a folder."""

from __future__ import annotations

import os
from pathlib import Path

from pleatsvg import api
from pleatsvg.errors import JobError, PleatError
from pleatsvg.length import show
from pleatsvg.order.options import in_job_file
from pleatsvg.piece.measuring import Measured
from pleatsvg.wholefile import refuse_output, write_whole

NAME = "pleats.toml"
"""What it is called in the folder, unless another name is given."""


_HEAD = """\
# A job file: which drawings are to be pleated, and how. Lines that begin with # say something to you only;
# take the # away from a line to make it count. Texts stand in straight quotes, lengths have their unit.
#
# Make everything:             pleatsvg batch {name}
# Go on after a break:         pleatsvg batch {name} --resume

# What holds for all pieces, unless a piece says otherwise. Take the # away from the lines you need and fill them in.
[defaults]
# kind = "knife"              # knife, box, inverted, kick, tuck or pin-tuck
# intake = "6cm"              # flat width that each pleat takes up; or depth = "3cm", outer fold to inner fold
# lap = "left"                # the way the outer folds point: left, right, up, down, centre or sides; knife pleats need it
# hem_intake = "8cm"          # where it differs at the hem; "0mm" for a pleat that dies away there
# face = "5cm"                # of a box pleat
# output = "{{drawing}}-{{piece}}-pleated"

# A piece with pleats of its own, or of several kinds, has them below it:
#
#   [[piece.pleat]]
#   slash = ["slash 1", "slash 3"]
#   kind = "inverted"
#   intake = "12cm"
#
# One [[piece]] may take many drawings: drawing = "sizes/*.svg".
"""


_TAIL = """
# Edges that are sewn to one another can be held against each other when all is done:
#
# [[match]]
# first = "skirt front: right side"
# second = "skirt back: left side"    # or length = "72cm"
# tolerance = "3.2mm"
"""


def write_new_job(folder: Path, target: Path | None, force: bool) -> tuple[Path, int, int]:
    """Write a job file for the drawings in a folder.

    Args:
        folder: where to look; folders in it are not looked into.
        target: the job file to write; None for one in the folder.
        force: write over one that is there.

    Returns:
        The file written, how many pieces it names, and how many drawings could not be read.

    Raises:
        JobError: there is no such folder, or no drawing in it.
        OutputError: the file is there already, or cannot be written.
    """
    subject = f"Folder '{folder.name or folder}'"
    if not os.path.isdir(folder):  # noqa: PTH112, never raises
        measured = "is no folder" if os.path.lexists(folder) else "is not there"
        raise JobError(subject, measured, "drawings are looked for in a folder", "Check its name.")
    file = target if target is not None else folder / NAME
    try:
        drawings = sorted(p for p in folder.iterdir() if p.suffix.casefold() in (".svg", ".svgz") and p.is_file())
    except OSError as error:
        raise JobError(subject, f"cannot be read ({error.strerror})", "", "Check its permissions.") from None
    refuse_output(file, force, *drawings)
    if not drawings:
        raise JobError(subject, "holds no drawing", "drawings end in .svg or .svgz", "Check the folder.")
    blocks: list[str] = []
    pieces = spoilt = 0
    base = file.absolute().parent
    for drawing in drawings:
        name = os.path.relpath(drawing.absolute(), base).replace(os.sep, "/")
        try:
            found = [api.measure(piece) for piece in api.read_all(drawing)]
        except PleatError as error:
            spoilt += 1
            blocks.append(
                f"\n# {_comment(name)} cannot be pleated as it is: {_comment(error.message.on(in_job_file))}\n"
            )
            continue
        for one in found:
            pieces += 1
            blocks.append(_block(name, one, len(found) > 1))
    text = _HEAD.format(name=_comment(file.name)) + "".join(blocks) + _TAIL
    write_whole(file, text.encode(errors="replace"))
    return file, pieces, spoilt


def _block(name: str, found: Measured, several: bool) -> str:
    edges = ", ".join([f"{edge.name} {show(edge.length, 'cm')}" for edge in found.edges])
    rows = [f"# {_comment(found.piece.name)}: {_comment(edges)}"]
    if found.lines:
        spaces = " | ".join([show(space, "cm") for space in found.top_spaces])
        rows.append(
            f"# lines: {_comment(', '.join([line.name for line in found.lines]))}; spaces at their tops: {spaces}"
        )
    rows += ["[[piece]]", f"drawing = {_quoted(name)}"]
    if several:
        rows.append(f"piece = {_quoted(found.piece.name)}")
    if not found.lines:
        rows.append("# No slash lines are drawn on it; place some:")
        rows.append('# count = 7                    # so many, at equal spaces; or at = ["8cm", "16cm"]')
    return "\n" + "\n".join(rows) + "\n"


def _comment(words: str) -> str:
    return "".join([letter if letter.isprintable() else "?" for letter in " ".join(words.split())])


def _quoted(words: str) -> str:
    """Return a text as TOML writes it."""
    plain = words.replace("\\", "\\\\").replace('"', '\\"')
    return (
        '"'
        + "".join(
            [c if c.isprintable() else f"\\u{ord(c):04x}" if ord(c) < 65536 else f"\\U{ord(c):08x}" for c in plain]
        )
        + '"'
    )
