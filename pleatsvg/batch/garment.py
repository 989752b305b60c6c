"""What a batch has made of a job file, as one garment: its results in order, and the seams that belong together."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pleatsvg.batch.account.journal import SUMMARY
from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.errors import JobError
from pleatsvg.length import show
from pleatsvg.wording import for_shell

_OF_PIECE = {"state", "output", "piece"}
_OF_MATCH = {"first", "second", "first_mm", "second_mm", "tolerance_mm", "agrees", "words"}


@dataclass(frozen=True)
class Garment:
    """A garment.

    Attributes:
        title: of the job.
        results: its files, in the order of the job.
        matches: seams that belong together, one sentence each.
        notes: remarks for the person.
        called: what the job calls each result.
    """

    title: str
    results: tuple[Path, ...]
    matches: tuple[str, ...]
    notes: tuple[str, ...]
    called: tuple[str, ...]


def garment_of(job: Path, folder: Path | None, unit: str | None) -> Garment:
    """Return what stands in the folder of a job's results.

    Args:
        job: the job file.
        folder: of its results; None for 'pleated' beside it.
        unit: that lengths are told in; None for that of the first result.

    Raises:
        JobError: the job cannot be read, nothing was made of it yet, or not all of it.
    """
    name = read_job(job).name
    where = folder if folder is not None else job.parent / "pleated"
    summary = _summary(name, where, _batch(job, folder))
    pieces = list(summary["pieces"])
    lacking = [piece for piece in pieces if piece["state"] == "failed" or not (where / str(piece["output"])).is_file()]
    if lacking or summary["undone"] or not pieces:
        first = f"'{lacking[0]['piece']}'" if lacking else "its last pieces"
        raise JobError(
            f"Job file '{name}'",
            f"is not made whole in '{where}': {first} is missing" if lacking else f"is not made whole in '{where}'",
            "a sheet is for the whole garment",
            f"Run {_batch(job, folder)} --resume first, or name the results themselves.",
        )
    results = tuple([where / str(piece["output"]) for piece in pieces])
    called = tuple([str(piece["piece"]) for piece in pieces])
    said = unit or str(pieces[0].get("unit", "cm"))
    changed = [
        file.name
        for file, piece in zip(results, pieces, strict=True)
        if hashlib.sha256(file.read_bytes()).hexdigest() != piece.get("sha256")
    ]
    if changed and summary["matches"]:
        note = f"'{changed[0]}' was changed since the batch, so nothing is said of seams that belong together."
        return Garment(job.stem, results, (), (note,), called)
    told = [_match(match, said) for match in summary["matches"]]
    if any(match["second"] and match["agrees"] for match in summary["matches"]):
        told.append(_WHEN)
    return Garment(job.stem, results, tuple(told), (), called)


_WHEN = (
    "Sew these seams right sides together, notch to notch, when the pleats on both pieces are basted and pressed, and before "
    "anything is sewn to the pleated edge."
)
"""Common practice: a waistband runs on over the side seams."""


def _batch(job: Path, folder: Path | None) -> str:
    words = ["pleatsvg", "batch", str(job), *(["--out", str(folder)] if folder is not None else [])]
    return " ".join(map(for_shell, words))


def _summary(name: str, folder: Path, command: str) -> dict[str, Any]:
    file = folder / SUMMARY
    try:
        read = json.loads(file.read_text(encoding="utf-8"))
        held = {key: read[key] for key in ("job", "pieces", "matches", "undone")}
        whole = all(
            isinstance(piece, dict) and {"state", "output", "piece"} <= piece.keys() for piece in held["pieces"]
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        held, whole = {}, False
    if not whole or held["job"] != name:
        raise JobError(
            f"Job file '{name}'",
            f"has no results in '{folder}'" if not whole else f"is not the one that '{folder}' was made from",
            "a sheet is made from what a batch has written",
            f"Run {command} first, or give its folder with --out.",
        )
    return held


def _match(match: dict[str, Any], unit: str) -> str:
    # In the sheet's unit: lengths as the batch measured them on the proven pieces.
    first, second = [" and ".join(match[side]) for side in ("first", "second")]
    if match["first_mm"] is None or match["second_mm"] is None:
        return str(match["words"])
    one, other = show(match["first_mm"], unit), show(match["second_mm"], unit)
    limit = show(match["tolerance_mm"], unit)
    verdict = f"They agree within {limit}." if match["agrees"] else f"They do not agree: more than {limit} apart."
    if not second:
        return f"{first} is {one}, and is to be {other}. {verdict}"
    return f"{first} is {one}; {second}, sewn to it, is {other}. {verdict}"
