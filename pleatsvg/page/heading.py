"""The heading above the piece, and the words that hold for a whole run of pleats."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pleatsvg.geometry.segment import Segment
from pleatsvg.kinds import noun_of
from pleatsvg.length import show
from pleatsvg.marks.words.edge_names import NamedEdge, flat_length
from pleatsvg.page.subject import Above, Subject
from pleatsvg.piece.edges import called_on_cloth, lower_word
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import (
    counted,
    numbers_down,
    numbers_in_words,
    pleat_words,
    taken_words,
    told_words,
)

TRUE_SIZE = "True size: print at 100 % and measure the 50 mm square first."


def run_labels(pleats: tuple[LaidPleat, ...], upright: bool, unit: str, lower: str) -> dict[int, tuple[str, ...]]:
    """Return labels, a long one and shorter ones, for each run of pleats that are alike, at its first."""
    made: dict[int, tuple[str, ...]] = {}
    said = [(noun_of(p.request.kind.name), pleat_words(p.request, upright, unit, lower)) for p in pleats]
    first = 0
    for k, pleat in enumerate(pleats, 1):
        if k < len(pleats) and said[k] == said[first]:
            continue
        low, high = pleats[first].number, pleat.number
        noun, words = said[first]
        numbers = numbers_in_words(list(range(low, high + 1)), noun).upper()
        request = pleats[first].request
        intake = taken_words(request, upright, unit, lower)
        if request.kind.stitched:
            made[low] = (f"{numbers}: {words}", f"{numbers}: {intake}", numbers)
        else:
            short = f"{numbers}: {request.kind.name}"
            made[low] = (f"{numbers}: {words}", f"{short}, {intake}", short)
        first = k
    return made


def named_edges(subject: Subject, flat: Mapping[int, Mapping[int, Sequence[Segment]]]) -> dict[int, NamedEdge]:
    """Return what stands along each seam edge: its name and its length, finished and flat where these differ.

    Args:
        subject: the piece.
        flat: the edges of the flat piece.
    """
    made: dict[int, NamedEdge] = {}
    edges, unit = subject.ground.edges, subject.unit
    for edge in edges:
        if edge.number not in flat:
            continue
        name = called_on_cloth(edge, edges)
        layers = flat[edge.number]
        finished = show(subject.finished_length(edge), unit)
        lengths: tuple[str, ...] = (finished,)
        spread = show(flat_length(layers), unit) if len(layers) > 1 else finished
        if subject.through is not None:
            lengths = (f"{spread} flat",)
        elif spread != finished:
            lengths = (f"{finished} finished", f"{spread} flat")
        made[edge.number] = NamedEdge(name.upper(), lengths)
    return made


def heading_rows(
    subject: Subject, pleats: tuple[LaidPleat, ...], cut_rows: tuple[str, ...], joined: bool
) -> tuple[str, ...]:
    upright, unit, lower = subject.lines.upright, subject.unit, lower_word(subject.ground.edges)
    rows = [
        f"{subject.name}: flat piece with {all_pleats(subject, pleats)}",
        f"RIGHT SIDE UP.{''.join([f' {row}.' for row in cut_rows[:-1]])} {TRUE_SIZE}",
        subject.allowance_words(joined),
    ]
    alike: dict[tuple[str, str], list[int]] = {}
    if subject.through is not None:
        before = subject.through.earlier
        rows.append(f"Fold pass {before.passes + 1} first, then pass {numbers_down(before.passes)} over it.")
        for old in before.told:
            words = old.said or told_words(old.kind, old.lap, old.intake_top, old.intake_hem, unit, old.stitched)
            alike.setdefault((noun_of(old.kind), f"{words} (pass {old.pass_})"), []).append(old.number)
    behind = f" (pass {subject.through.earlier.passes + 1})" if subject.through is not None else ""
    for pleat in pleats:
        words = pleat_words(pleat.request, upright, unit, lower) + behind
        alike.setdefault((noun_of(pleat.request.kind.name), words), []).append(pleat.number)
    rows += [f"{numbers_in_words(numbers, noun)}: {words}" for (noun, words), numbers in alike.items()]
    if subject.above is not None:
        rows += _fitted_words(subject.above, unit)
    return tuple(rows)


def _fitted_words(above: Above, unit: str) -> list[str]:
    # A length from the top says where the level is that no drawn line shows; along darts it is as deep as they are.
    down = f", {show(above.down, unit)} below the top," if above.down is not None else ""
    where = f"above the {above.foot}{down} stitch FOLD onto PLACE down to the double bar"
    if above.below is not None:
        where = f"stitch FOLD onto PLACE along the solid curves, down to the double bar at the {above.foot}{down.rstrip(',')}"
    return [
        f"Fitted to {show(above.waist, unit)} at the top: {where}.",
        "Press the top over a board's end: it cannot lie flat together with what is below.",
    ]


def all_pleats(subject: Subject, pleats: tuple[LaidPleat, ...]) -> str:
    kinds = [pleat.request.kind.name for pleat in pleats]
    if subject.through is None:
        return counted(kinds)
    before = subject.through.earlier
    return f"{counted([*[old.kind for old in before.told], *kinds])} in {before.passes + 1} passes"
