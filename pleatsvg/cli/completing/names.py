"""Names of what is drawn, as far as a drawing is named before; where none is, or it cannot be read, there are none."""

from __future__ import annotations

import os
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

from pleatsvg.cli.completing.shells import words_before


def names_for(option: str) -> list[str]:
    """Return what may be given to an option that takes names of what is drawn."""
    from pleatsvg import api
    from pleatsvg.errors import PleatError
    from pleatsvg.piece.edges import seam_edges

    drawing = _file_before((".svg", ".svgz"))
    if drawing is None:
        return []
    try:
        pieces = api.read_all(drawing)
    except (PleatError, OSError):
        return []
    if option == "piece":
        return [piece.name for piece in pieces]
    if option == "slash":
        return ["all", *[line.name for piece in pieces for line in (*piece.slashes, *piece.crossing_lines)]]
    if option in ("balance", "hip"):
        levels = [shape.name for piece in pieces for shape in piece.shapes if shape.part == "balance"]
        return [f"{name}=" for name in levels] if option == "balance" else levels
    if option == "pivot":
        from pleatsvg.piece.pivots.asked import darts_seen

        most = max([len(darts_seen(piece)) for piece in pieces], default=0)
        return ["dart"] if most == 1 else [*["all"][: most and 1], *[f"dart {number + 1}" for number in range(most)]]
    edges = [edge.name for piece in pieces for edge in seam_edges(piece.outline)]
    if option == "ring":
        return ["left side=right side"] if {"left side", "right side"} <= set(edges) else []
    if option == "allowance":  # whole, as a shell puts a blank behind it
        return [f"{edge}={'4cm' if edge == 'hem' else '15mm'}" for edge in edges]
    return [f"{edge}=" for edge in edges] if option == "continue" else edges


def names_in_job() -> list[str]:
    """Return the names of the pieces and drawings in the job file that is named before."""
    from pleatsvg.batch.jobfile.read import read_job
    from pleatsvg.errors import PleatError

    file = _file_before((".toml",))
    if file is None:
        return []
    try:
        job = read_job(file)
    except (PleatError, OSError):
        return []
    return [name for piece in job.pieces for name in (piece.name, *piece.pieces) if name] + [
        Path(drawing).stem for piece in job.pieces for drawing, _ in piece.drawings if "*" not in drawing
    ]


def files_like(incomplete: str, endings: Iterable[str]) -> list[str]:
    """Return the files with one of these endings, and the folders, whose names begin as `incomplete` does."""
    folder, begun = os.path.split(incomplete)
    found: list[str] = []
    try:
        with os.scandir(Path(folder or ".").expanduser()) as entries:
            for entry in sorted(entries, key=lambda one: one.name):
                if entry.name.startswith("." if begun.startswith(".") else begun) and (begun or entry.name[0] != "."):
                    name = os.path.join(folder, entry.name)  # noqa: PTH118
                    if entry.is_dir():
                        found.append(f"{name}/")
                    elif entry.name.casefold().endswith(tuple(endings)):
                        found.append(name)
    except OSError:
        return []
    return found


def _file_before(endings: tuple[str, ...]) -> Path | None:
    # The first file with such an ending that is there, and is no result.
    words = words_before()
    for before, word in pairwise(words):
        if before not in ("-o", "--output") and word.casefold().endswith(endings):
            file = Path(word).expanduser()
            if file.is_file():
                return file
    return None
