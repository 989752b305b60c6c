"""What is kept of each result: one short record, the same whoever made it and whenever."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pleatsvg.batch.tasks import Task
from pleatsvg.order.options import in_job_file
from pleatsvg.piece.edges import seam_edges
from pleatsvg.pleated import PleatedPiece
from pleatsvg.wording import shown

Record = dict[str, Any]
"""The record of one piece, as in summary.json; lengths in mm.

`task` and `part` order the records: the task's number in the job, and the piece's on its drawing. `seconds` is the
only value that differs from run to run.
"""


def heading_of(task: Task, part: int, piece: str, output: str | None) -> Record:
    """Return the beginning of a record: what it is about, and where in the job it was asked for."""
    return {
        "task": task.number,
        "part": part,
        "line": task.entry.line,
        "drawing": task.drawing,
        "piece": piece,
        "output": output,
    }


def made_record(
    head: Record, result: PleatedPiece, digest: str, of: int, sha256: str, edges: bool, seconds: float
) -> Record:
    """Return the record of a result that was made.

    Args:
        head: from `heading_of`.
        result: as written.
        digest: of the drawing, what was asked and the program.
        of: how many pieces its task makes.
        sha256: of its bytes.
        edges: whether the lengths of the finished seam edges are wanted.
        seconds: that it took.
    """
    first = result.first
    record: Record = head | {
        "state": "made",
        "own_name": result.name,
        "pleats": result.count,
        "unit": result.unit,
        "top_seam_mm": {"finished": round(first.top_lengths[0], 6), "flat": round(first.top_lengths[1], 6)},
        "hem_seam_mm": {"finished": round(first.hem_lengths[0], 6), "flat": round(first.hem_lengths[1], 6)},
        "fold_back_mm": round(result.worst_miss, 9),
        "warnings": [shown(remark, in_job_file) for remark in result.remarks],
    }
    if edges:
        found = seam_edges(first.finished.outline)
        record["edges_mm"] = {edge.name: round(edge.length, 6) for edge in found}
    return record | {"of": of, "digest": digest, "sha256": sha256, "seconds": round(seconds, 4)}


def failed_record(head: Record, message: str, seconds: float) -> Record:
    """Return the record of a piece that could not be made, with the reason."""
    return head | {"state": "failed", "message": message, "seconds": round(seconds, 4)}


def as_line(record: Mapping[str, Any]) -> bytes:
    """Return a record as one line of JSON."""
    return _in_json(record).encode(errors="backslashreplace") + b"\n"


_in_json = json.JSONEncoder(ensure_ascii=False).encode
