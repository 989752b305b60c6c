"""Which rows the key shows: one for each kind of line and mark that is on the page."""

from __future__ import annotations

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.stitching import StitchingLine
from pleatsvg.page.subject import Subject


def key_rows(
    subject: Subject, unfolded: Unfolded, stitching: tuple[StitchingLine, ...], grain: bool
) -> tuple[str, ...]:
    # What stands on this sheet, in the order of the key.
    names = {line.name for line in stitching}
    rows = ["cut-line", "seam-line"] if unfolded.cut else ["seam-line"]
    roles = {line.role for line in (*unfolded.creases, *unfolded.placements)}
    if subject.through is not None:
        older = {line.tag.role for line in subject.through.earlier.lines}
        roles |= {role.removesuffix("-line").removesuffix("-fold") for role in older}
        names |= older
    # A tuck has no placement line: its arrows run from stitching line to stitching line, its fold line has no signs.
    tucked = "stitch" in roles
    laid = "placement" in roles
    rows.append("fold-line" if laid else "fold-line-plain")
    rows += [f"{role}-line" for role in ("placement", "inner-fold", "stitch") if role.removesuffix("-fold") in roles]
    rows += [name for name, there in (("lap", laid), ("lap-tuck", tucked)) if there]
    notch = subject.marking.notch
    row = f"notches-{notch}" if notch else "notches-cut" if unfolded.cut else "notches"
    rows += [name for name, there in ((row, laid), (f"{row}-tuck", tucked)) if there]
    rows += [name for name in ("baste-line", "edge-stitch-line", "stitch-down-line") if name in names]
    if unfolded.fold_edge is not None:
        rows.append("fold-edge")
    if unfolded.joins:
        rows.append("join-line")
    if grain:
        rows.append("grain-line")
    return tuple(rows)
