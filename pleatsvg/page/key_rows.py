"""Which rows the key shows: those of every class of line and mark that is on the page, in the order of the table."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from textwrap import wrap

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.stitching import StitchingLine
from pleatsvg.page.measures import KEY_LETTERS, KEY_LINE, ROW_PITCH
from pleatsvg.page.subject import Subject
from pleatsvg.result.classes import CLASSES, key_row
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role


def key_rows(
    subject: Subject,
    unfolded: Unfolded,
    marks: Iterable[Mark],
    stitching: tuple[StitchingLine, ...],
    grain: bool,
    balanced: bool,
) -> tuple[str, ...]:
    """Return the names of the rows, cf. `pleatsvg.result.classes.key_row`."""
    roles = {line.role for line in (*unfolded.creases, *unfolded.placements)}
    there = {role.css for role in roles} | {line.name for line in stitching} | {mark.name for mark in marks}
    outward = Role.OUTWARD in roles
    if subject.through is not None:
        older = {line.tag for line in subject.through.earlier.lines}
        there |= {tag.role for tag in older}
        outward |= any(tag.way == "mountain" for tag in older)
    # A tuck has no placement line: its arrows run from stitching line to stitching line, its fold line has no signs.
    laid, tucked = "placement-line" in there, "stitch-line" in there
    both = [variant for variant, on in (("", laid), ("tuck", tucked)) if on]
    of = "" if not tucked else "both" if laid else "tuck"
    made = subject.marking.notch or ("cut" if unfolded.cut else "")
    shaped = "curved" if subject.above is not None and subject.above.below is not None else ""
    variants = {
        "fold-line": ["" if laid else "plain"],
        "inner-fold-line": ["outward" if outward else ""],
        "hip-level-line": [shaped],
        "shaping-line": [shaped],
        "lap-arrow": both,
        "baste-line": ["-".join(filter(None, (_basted(subject, stitching), of)))],
        "pleat-tint": [of],
        "balance-line": [of],
        "notch": ["-".join(filter(None, (made, variant))) for variant in both],
    }
    there |= {"seam-line", "fold-line", "lap-arrow", "notch"}
    there |= {
        name
        for name, on in (
            ("cut-line", bool(unfolded.cut)),
            ("fold-edge", unfolded.fold_edge is not None),
            ("join-line", bool(unfolded.joins)),
            ("grain-line", grain),
            ("balance-line", balanced),
            ("hip-level-line", subject.above is not None),
        )
        if on
    }
    return tuple(
        [
            f"{row.name}-{variant}" if variant else row.name
            for row in CLASSES.values()
            if row.name in there and row.key
            for variant in variants.get(row.name, [""])
        ]
    )


@lru_cache(maxsize=256)
def lines_of(words: str) -> tuple[str, ...]:
    """Return a row's words in lines that stay on the page, whatever the font."""
    return tuple(wrap(words, KEY_LETTERS))


def key_height(rows: Iterable[str]) -> float:
    """Return how much room the rows take, in mm, from the first to the end of the last."""
    return sum([ROW_PITCH + KEY_LINE * (len(lines_of(key_row(row)[1].words)) - 1) for row in rows])


def _basted(subject: Subject, stitching: tuple[StitchingLine, ...]) -> str:
    # Where pleats are basted: the row that says it.
    ends = [line.end for line in stitching if line.name == "baste-line"]
    if subject.through is not None and any(line.role == "baste-line" for line in subject.through.earlier.lines):
        return "passes" if ends else ""
    variants = {"left end": "left", "right end": "right", "top": "", "hem": "lower"}
    return variants[ends[0]] if len(ends) == 1 else "ends" if ends else ""
