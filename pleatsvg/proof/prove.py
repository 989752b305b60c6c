"""The proof of a result as it is drawn: its layers are folded and held against the shape that they were to become.

Every figure is a distance in mm that would be nothing in a perfect result, or an area in mm2. Raw edges are compared
as curves: a folded edge and the part of the outline over which it lies are cubics over the same shares, so the distance
of their control points bounds that of the curves. Where that bound is not small the edge is measured point by point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pleatsvg.errors import DrawingError, ProofError
from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.geometry.outline import Crossing, Outline
from pleatsvg.geometry.segment import length_of
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.kinds import noun_of
from pleatsvg.proof.areas import areas_kept
from pleatsvg.proof.beside.companions import sewn_to
from pleatsvg.proof.beside.look import look_beside
from pleatsvg.proof.figures import Figure, Most, Proof
from pleatsvg.proof.fold_drawn import Zones, refold
from pleatsvg.proof.folded_pass import FoldedPass, Span, where
from pleatsvg.proof.raw_edges import corner_between, raw_edges, see_cut_runs
from pleatsvg.proof.silhouette import silhouette_miss, worst_poke
from pleatsvg.proof.spans import runs_of
from pleatsvg.result.pattern_lines import ResultPiece
from pleatsvg.tolerance import FOLD_BACK, FOLD_BACK_CUT

_POINTS = {"left": -1 + 0j, "right": 1 + 0j, "up": -1j, "down": 1j}


def proven(piece: ResultPiece, source: str, done: str) -> Proof:
    """Return the proof of a piece of a result that something is to be made of.

    Args:
        piece: as read.
        source: the name of its file.
        done: what is done with proven results alone, as in "printed".

    Raises:
        ProofError: it does not fold back true.
    """
    proof = prove(piece)
    if not proof.holds:
        raise ProofError(
            f"'{source}'",
            f"does not fold back true: {proof.failures[0]}",
            f"only what is proven is {done}",
            "Do not cut from it. Undo the last change there in the editor, or make a fresh result.",
        )
    return proof


def prove(piece: ResultPiece, remarks: tuple[str, ...] = ()) -> Proof:
    """Fold a piece of a result and measure it.

    Args:
        piece: as read.
        remarks: on the drawing as a whole, to stand before those on the piece.

    Raises:
        DrawingError: it holds lines that cannot be folded along, or lacks some.
    """
    try:
        proof = _proof_of(piece, remarks)
    except DrawingError:
        laid = _with_hidden_moved(piece, remarks)
        if laid is None:
            raise
        return laid
    if all(figure.holds for figure in proof.figures if figure.name in _OF_THE_WHOLE):
        return proof  # what is wrong with it, if anything, is not where its hidden shape lies
    return _with_hidden_moved(piece, remarks) or proof


def _with_hidden_moved(piece: ResultPiece, remarks: tuple[str, ...]) -> Proof | None:
    # Editors leave hidden layers behind when all that is seen is moved. Other faults are told of the piece laid right.
    from pleatsvg.proof.beside.left_behind import moved_back  # of no use to a result that holds

    for laid, shift in moved_back(piece):
        said = (
            f"The hidden finished shape lies {abs(shift):.2f} mm away from the piece, since one of the two was moved on the "
            "page; it was laid on the piece for the proof."
        )
        try:
            proof = _proof_of(laid, (*remarks, said))
        except DrawingError:
            continue
        if all(figure.holds for figure in proof.figures if figure.name in _OF_THE_WHOLE):
            return proof
    return None


_OF_THE_WHOLE = frozenset({"raw_edges", "silhouette", "area"})
"""Figures that hold where the hidden shape lies on the piece."""


def _proof_of(piece: ResultPiece, remarks: tuple[str, ...]) -> Proof:
    zones: Zones | None = None
    if any(line.tag.zone for line in piece.lines):
        from pleatsvg.proof.zones.fold_zones import fold_zones as zones  # of no use to most results
    passes, joins = refold(piece, zones)
    if zones is not None:
        from pleatsvg.proof.zones.drawn import drawn_by_zone

        passes = (drawn_by_zone(passes[0]),)
    figures: list[Figure] = []
    faults: list[str] = []
    more: list[str] = [*remarks]
    if any(line.role == "join-line" for line in piece.lines):
        figures.append(Figure("joins", "misses its match", joins, FOLD_BACK, "mm", "a join line", joins))
    # Parts lie apart: laid together at their joins they may lie over one another, as above a kick pleat.
    parts = [FoundOutline(line.strokes[0]) for line in piece.by_role("seam-line")]
    kept: list[FoldedPass] = []
    for done in [zone for one in passes for zone in (one.above, one) if zone is not None]:
        flat = parts if len(parts) > 1 else [] if done.zone == "above" else [done.seam]
        flat = parts if done.points else flat  # cut open, its two sides lie on one another
        own, wrong = _prove_pass(done, len(passes) > 1, flat)
        if done.above is not None:
            from pleatsvg.proof.zones.fitted_top import fitted_figures  # of no use to most results

            own += fitted_figures(done, done.above, piece.stated.fit)
        if done.zone != "above":
            kept.append(done)
        if done.free:
            more.append(
                f"{sum(map(length_of, done.free)):.1f} mm of edge leave the finished outline on purpose, as at the top of a "
                "kick pleat or on a smooth hem; they are drawn as free edges, and are in none of the figures."
            )
        figures += own
        faults += wrong
    if passes[-1].points:
        count = sum(1 for line in piece.lines if line.role == "closed-dart" and line.tag.line == "seam")
        several = f"{count} darts are" if count > 1 else "A dart is"
        more.append(
            f"{several} closed in it: folded, the cloth lies flat only with that angle open again, and it is proven and shown "
            "so; on the body it is closed, and stands up over the dart's point."
        )
    if passes[0].round_ is not None:
        more.append(_told_round(passes[0]))
    beside = look_beside(piece, tuple(kept), not faults and all(figure.holds for figure in figures))
    return Proof(
        piece.name,
        tuple(kept),
        (*figures, *beside.figures),
        (*faults, *beside.faults),
        (*more, *beside.notes),
        # Where a later pass runs across the fold edge its flat piece is half of the whole.
        abs(passes[0].seam.area) * (2 if passes[0].centre is None and passes[-1].centre is not None else 1),
        abs(passes[-1].finished.area),
        sewn_to(piece),
    )


def _told_round(done: FoldedPass) -> str:
    # How long one round of a folded ring is at the top and at the hem.
    top, hem = (done.above or done).round_length(0), done.round_length(1)
    return f"It goes all round: folded, {top:.1f} mm at the top and {hem:.1f} mm at the hem."


def _prove_pass(done: FoldedPass, several: bool, flat: Sequence[Outline]) -> tuple[list[Figure], list[str]]:
    behind = f" (pass {done.number})" if several else f" {done.zone_words}" if done.zone else ""
    limit = FOLD_BACK
    creases, finished = done.creases, done.finished
    figures: list[Figure] = []
    faults: list[str] = []

    def figure(name: str, words: str, most: Most, bound: float = limit, unit: str = "mm") -> None:
        value = most.value if math.isfinite(most.value) else math.inf
        figures.append(
            Figure(
                name=name,
                words=f"{words}{behind}" if done.zone else words,
                value=value,
                limit=bound,
                unit=unit,
                place=(most.first or most.place).rstrip(","),
                first=most.first_value,
                pass_=done.number if several else None,
                zone=done.zone,
                zone_words=done.zone_words,
            )
        )

    folds, stitches, ends = _landings(done)
    if creases:  # a companion has none
        bent, short = Most(), Most()
        for span in creases:
            bent.see(span.bend, span.words)
            short.see(span.short, span.words)
        figure("fold_lines_straight", "is bent", bent)
        figure("folds_on_placement", "misses the line it is brought onto", folds)
    if any(span.line.role == "stitch-line" for span in creases):
        figure("stitch_lines_together", "misses the other stitch line of its tuck", stitches)

    edges = [edge for layer in range(len(done.layers)) for edge in raw_edges(done, layer, finished)]
    raw = Most()
    for edge in edges:
        raw.see(edge.miss, f"an edge of {done.layer_words(edge.layer)}, {where(edge.at)},")
    figure("raw_edges", "misses the finished seam", raw)
    if creases:
        figure("fold_ends", "ends elsewhere than the line it is brought onto", ends)
        figure("fold_lines_reach", "stops short of the seam", short)

    poke = worst_poke(done, edges)
    silhouette, once_round = silhouette_miss(done, edges)
    if poke.value > silhouette.value:
        silhouette.see(poke.value, "the folded outline at " + (poke.first or poke.place))
    figure("silhouette", "strays from the finished seam", silhouette)
    if not once_round:
        faults.append(f"the folded edge does not run once round the finished seam{behind}")

    figure("pokes_out", "pokes out of the finished piece", poke)

    area, bound = areas_kept(done, edges)
    figure("area", "changes its area", area, bound, "mm2")

    if done.cutting is not None:
        cutting = _cutting(done)
        figure("cutting_line", "misses the finished cutting line", cutting, FOLD_BACK_CUT)
    spot = next((z for seam in flat if (z := self_crossing(seam)) is not None), None)
    if spot is not None:
        faults.append(f"the flat seam{behind} crosses or touches itself {where(spot)}")
    faults += [words + behind for words in done.loose]
    if done.zone != "above":  # there a pleat points as below, and what is closed to a cone is turned by much
        faults += [words + behind for words in _laps(done)]
    return figures, faults


def _landings(done: FoldedPass) -> tuple[Most, Most, Most]:
    # How far folds lie beside the lines they are brought onto, the same for stitch lines, and how far both ends differ.
    folds, stitches, all_ends = Most(), Most(), Most()
    free = Nearest(done.free) if done.free else None
    for landing in sorted(done.landings, key=lambda landing: landing.creases):
        on = done.layers[landing.layer].motion
        top, hem = on.of(landing.span.top), on.of(landing.span.hem)
        for k in landing.creases:
            crease, laid = done.creases[k], done.layers[k].motion
            flip = ((hem - top) / abs(hem - top)).conjugate()
            most = stitches if crease.line.role == "stitch-line" else folds
            for end, meant, other, zone in (
                (crease.top, top, landing.span.top, "below"),
                (crease.hem, hem, landing.span.hem, "above"),
            ):
                off = laid.of(end) - meant
                said = f"{crease.words}, {where(end)},"
                most.see(abs((off * flip).imag), said)
                # At the hip of a fitted piece the middle layer of an inverted pleat slides along the line.
                if done.zone != zone and not _amid(end, free) and not _amid(other, free):
                    all_ends.see(abs((off * flip).real), said)
    return folds, stitches, all_ends


def _amid(z: complex, free: Nearest | None) -> bool:
    # Whether a line ends amid a free edge, as on a hem that runs smoothly over hidden cloth and leaves the folded one.
    if free is None:
        return False
    spot = free.of(z)
    seg = free.segments[spot.segment]
    return spot.away <= FOLD_BACK and min(abs(z - seg[0]), abs(z - seg[-1])) > FOLD_BACK


def _far_on(done: FoldedPass, k: int) -> bool:
    # Whether from one crease's end to the next, tops and then hems, it is more than half the way round: about a dart's point
    # lines may lead to any part of the seam.
    ends = [crease.top_at for crease in done.creases] + [crease.hem_at for crease in reversed(done.creases)]
    n = len(done.seam)
    return done.seam.distance(ends[k - 1], ends[k - 1] + (ends[k] - ends[k - 1]) % n) > done.seam.distance(0, n) / 2


def _from_the_point(
    flat: FoundOutline, point: complex, crease: Span, before: Crossing | None, after: Crossing | None
) -> tuple[Crossing | None, Crossing | None]:
    # Where the cutting line is led to the point of a closed dart, a crease ends on its node there.
    node = min(range(len(flat)), key=lambda k: abs(flat.segments[k][0] - point))
    there = Crossing(float(node), 0.0, flat.segments[node][0])
    return (before, there) if abs(crease.hem - point) <= FOLD_BACK else (there, after)


def _cutting(done: FoldedPass) -> Most:
    assert done.cutting is not None
    if done.zone:
        from pleatsvg.proof.zones.fitted_top import cutting_of_zone

        return cutting_of_zone(done)
    flat, finished = done.cutting
    places: list[float] = []
    n = len(flat)
    most = Most()
    ends: list[tuple[float, float]] = []
    if (flat.area > 0) != (done.seam.area > 0):
        flat = FoundOutline(flat.reversed().segments)
    for crease in done.creases:
        middle, along = (crease.top + crease.hem) / 2, crease.hem - crease.top
        hits = flat.crossings(middle, along / abs(along))
        before = max([hit for hit in hits if hit.along <= 0], key=lambda hit: hit.along, default=None)
        after = min([hit for hit in hits if hit.along > 0], key=lambda hit: hit.along, default=None)
        for point, _ in done.points:
            if min(abs(crease.top - point), abs(crease.hem - point)) <= FOLD_BACK:
                before, after = _from_the_point(flat, point, crease, before, after)
        if before is None or after is None:
            most.see(math.inf, f"{crease.words}, which does not cross it,", FOLD_BACK_CUT)
            return most
        ends.append((before.at, after.at))
    free = Nearest(done.free) if done.free else None
    at = ends[0][0] if ends else 0.0
    for k, here in enumerate([top for top, _ in ends] + [hem for _, hem in reversed(ends)]):
        near = flat.counted_near(here, at)
        if near < at and k != len(ends) and not (done.points and _far_on(done, k)):
            # The fold lines meet before they reach the cutting line: from there on both layers end, and what lies between
            # is cut as the corner of the two.
            at = corner_between(flat, near, at, free)
            places = [min(place, at) for place in places]
        else:  # from the tops to the hems it goes on round
            at += (here - at) % n
        places.append(at)
    m = len(ends)
    places = places[:m] + places[m:][::-1]
    for number, runs in enumerate(runs_of(flat, places)):
        see_cut_runs(most, runs, done, number, finished, free)
    return most


def _laps(done: FoldedPass) -> list[str]:
    # Fold lines point the way that their pleats say, across the line; taken together for each lap, since in a fan single
    # ones may lean. Folded, the cloth that is seen lies behind the edge that points.
    faults: list[str] = []
    towards: dict[str, complex] = {}
    numbers: dict[str, str] = {}
    for k, crease in enumerate(done.creases):
        lap = crease.line.tag.lap
        if crease.other_half or not crease.brought or lap not in _POINTS:
            continue
        along = (crease.hem - crease.top) / abs(crease.hem - crease.top)
        onwards = -1j * done.hand * along  # from the layer before it to the one after it, flat
        before, after = done.layers[k].motion, done.layers[k + 1].motion
        points = before.turn * onwards if not before.flips else -after.turn * onwards
        towards[lap] = towards.get(lap, 0j) + points
        numbers.setdefault(lap, f"{noun_of(crease.line.tag.kind)} {crease.line.pleat}")
    for lap, points in towards.items():
        if (points * _POINTS[lap].conjugate()).real < -0.3 * abs(points):
            faults.append(f"{numbers[lap]} is to point {lap}, but its fold lies on the other side")
    return faults
