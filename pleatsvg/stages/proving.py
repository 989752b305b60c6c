"""Proving: the flat piece as it will be written, folded back by nothing but its creases."""

from __future__ import annotations

from pleatsvg.errors import ProofError
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.pleated import Flattened, Laid, Proven, Written
from pleatsvg.proof.before_writing import FoldBack, ToFold, folded_back, folded_layers, prove_earlier, worst_of
from pleatsvg.tolerance import FOLD_BACK


def prove(laid: Laid, flattened: Flattened, written: Written) -> Proven:
    """Return the proof: what will be written, folded back by nothing but its creases.

    Raises:
        ProofError: it does not fold back onto the drawn piece.
    """
    if written.zones:
        return _prove_zones(laid, written)
    flat = written.flat
    folded = folded_layers(flat.creases, flat.joins)
    asked = [ToFold(written.seam, flat.seam, folded, flat.creases, flat.placements)]
    if written.cutting is not None:
        asked.append(ToFold(written.cutting, flat.cut, folded))
    seam, *cuttings = folded_back(asked)
    for found in (seam, *cuttings):
        _refuse_unproven(laid.piece, found)
    miss = 0.0
    if flattened.through is not None and written.earlier is not None:
        offset = written.sheet.offset
        miss = prove_earlier(laid.piece.name, flattened.through, written.earlier, flat.creases, offset)
    return Proven(seam=seam, cutting=cuttings[0] if cuttings else None, earlier_miss=miss)


def _prove_zones(laid: Laid, written: Written) -> Proven:
    # Of a fitted piece each zone by itself: it lies flat above the hip, or below it, never both at once.
    seams: list[ToFold] = []
    cuttings: list[ToFold] = []
    for zone in written.zones:
        flat = zone.flat
        folded = folded_layers(flat.creases, flat.joins)
        bent_at = "hem" if zone.name == "above" else "top"
        seams.append(ToFold(zone.seam, flat.seam, folded, flat.creases, flat.placements, bent_at))
        if zone.cutting is not None:
            cuttings.append(ToFold(zone.cutting, flat.cut, folded))
    found = folded_back([*seams, *cuttings])
    for one in found:
        _refuse_unproven(laid.piece, one)
    count = len(seams)
    return Proven(worst_of(found[:count]), worst_of(found[count:]) if cuttings else None, 0.0)


def _refuse_unproven(piece: FinishedPiece, proof: FoldBack) -> None:
    if not proof.worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{piece.name}'",
            f"does not fold back onto the drawn piece: an edge misses it by {proof.worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Very short slash lines on a very large piece can cause this; move them apart and try again.",
        )
