"""What is kept of each result: one short record, the same whoever made it and whenever."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from pleatsvg.batch.account import Record
from pleatsvg.companion.folded_edge import folded_edges
from pleatsvg.errors import FitError
from pleatsvg.order.options import in_job_file
from pleatsvg.piece.edges import seam_edges
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.words import counted
from pleatsvg.saying import escaped
from pleatsvg.wording import shown

if TYPE_CHECKING:
    from pleatsvg.companion.made import Companion


def made_record(
    head: Record,
    result: PleatedPiece,
    digest: str,
    of: int,
    sha256: str,
    edges: bool,
    seconds: float,
    folds: bool = False,
) -> Record:
    """Return the record of a result that was made.

    Args:
        head: what it is about, and where in the job it was asked for.
        result: as written.
        digest: of the drawing, what was asked and the program.
        of: how many pieces its task makes.
        sha256: of its bytes.
        edges: whether the lengths of the finished seam edges are wanted.
        seconds: that it took.
        folds: whether it is wanted where its folds come to lie along its edges.
    """
    first = result.first
    earlier = result.earlier.told if result.earlier is not None else ()
    record: Record = head | {
        "state": "made",
        "own_name": result.name,
        "pleats": result.count,
        "counted": counted([*[old.kind for old in earlier], *[fact.request.kind.name for fact in result.facts]]),
        "unit": result.unit,
        "top_seam_mm": {"finished": round(first.top_lengths[0], 6), "flat": round(first.top_lengths[1], 6)},
        "hem_seam_mm": {"finished": round(first.hem_lengths[0], 6), "flat": round(first.hem_lengths[1], 6)},
        "fold_back_mm": round(result.worst_miss, 9),
        "warnings": [shown(remark, in_job_file) for remark in result.remarks],
    }
    if edges:
        if first.lines.ring:
            # All round it has a top and a hem, and no sides.
            record["edges_mm"] = {"top": round(first.top_lengths[0], 6), "hem": round(first.hem_lengths[0], 6)}
        else:
            found = seam_edges(first.finished.outline)
            fitted = {} if first.laid.fitted is None else first.laid.fitted.lengths
            record["edges_mm"] = {edge.name: round(fitted.get(edge.number, edge.length), 6) for edge in found}
    if folds:
        record["folded_edges"] = _folded_edges(result)
    return record | {"of": of, "digest": digest, "sha256": sha256, "seconds": round(seconds, 4)}


def _folded_edges(result: PleatedPiece) -> list[dict[str, Any]] | str:
    # Every pleated edge, the one on which the pleats begin first; or why nothing is known of them.
    try:
        return [edge.data() for edge in folded_edges(result).values()]
    except FitError as error:
        return error.message.on(in_job_file)


def companion_record(
    head: Record, companion: Companion, digest: str, sha256: str, edges: bool, seconds: float
) -> Record:
    """Return the record of a companion; its seam is the edge that is sewn on. Cf. `made_record`."""
    result, match = companion.result, companion.match
    seam = {"finished": round(match.edge[1], 6), "flat": round(match.edge[1], 6)}
    record: Record = head | {
        "state": "made",
        "own_name": result.name,
        "pleats": 0,
        "counted": "companion",
        "unit": result.unit,
        "top_seam_mm": seam,
        "hem_seam_mm": seam,
        "fold_back_mm": round(result.worst_miss, 9),
        "warnings": [shown(remark, in_job_file) for remark in result.remarks],
        "companion": match.data(),
    }
    if edges:
        record["edges_mm"] = {edge.name: round(edge.length, 6) for edge in seam_edges(result.finished.outline)}
    return record | {"of": 1, "digest": digest, "sha256": sha256, "seconds": round(seconds, 4)}


def failed_record(head: Record, message: str, seconds: float) -> Record:
    """Return the record of a piece that could not be made, with the reason."""
    return head | {"state": "failed", "message": message, "seconds": round(seconds, 4)}


def as_line(record: Mapping[str, Any]) -> bytes:
    """Return a record as one line of JSON."""
    return as_json(record).encode(errors="backslashreplace") + b"\n"


def as_json(value: object) -> str:
    """Return a value as JSON on one line, in which a terminal finds nothing to obey."""
    return escaped(_in_json(value))


_in_json = json.JSONEncoder(ensure_ascii=False).encode
