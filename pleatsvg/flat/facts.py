"""What a result says of itself: what each pleat takes up, and remarks for the person at the cutting table."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

from pleatsvg.errors import listed
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.geometry.motion import bearing
from pleatsvg.length import show
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat, PleatRequest
from pleatsvg.pleats.words import kinds_in_words
from pleatsvg.result.figures import intake_at
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import FLAT_GRAIN, HEM_WEDGE, OFF_LEVEL
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class PleatFacts:
    """One pleat of a result.

    Attributes:
        number, name: its number and its slash line's name.
        request: what was asked.
        intake_top, intake_hem: measured in mm on the result's own lines, from fold line to placement line.
        grain_degrees: the largest angle of its outer folds to the grain, or None where no grainline is drawn.
    """

    number: int
    name: str
    request: PleatRequest
    intake_top: float
    intake_hem: float
    grain_degrees: float | None


def facts_of(
    pleats: tuple[LaidPleat, ...], flat: Unfolded, grain: tuple[complex, complex] | None
) -> tuple[PleatFacts, ...]:
    """Return the facts of every pleat.

    Args:
        pleats: laid out on the finished piece.
        flat: the flat piece as written.
        grain: the grainline as written, or None.
    """
    taken = intakes_of(flat)
    off: dict[int, float] = {}
    if grain is not None:
        for fold in flat.creases:
            if fold.role is Role.FOLD:
                upper = fold.top if fold.bend is None else fold.bend
                turn = abs(math.degrees(bearing((fold.hem - upper) / (grain[1] - grain[0]))))
                off[fold.pleat] = max(off.get(fold.pleat, 0.0), min(turn, 180 - turn))
    return tuple(
        [
            PleatFacts(p.number, p.name, p.request, taken[p.number][0], taken[p.number][1], off.get(p.number))
            for p in pleats
        ]
    )


def intakes_of(flat: Unfolded) -> dict[int, list[float]]:
    """Return for each pleat what it takes up at the top and at the hem, from fold line to placement line, mm."""
    folds: dict[tuple[int, int], FlatLine] = {(c.pleat, c.folds[0]): c for c in flat.creases}
    taken: dict[int, list[float]] = {one.pleat: [0.0, 0.0] for one in flat.placements}
    whole = flat.ring is None and not flat.joins
    # Parts are set apart by shifts alone, which are taken back.
    apart = [0j, *accumulate(join.before[0] - join.after[0] for join in flat.joins)]
    for onto in flat.placements:
        so_far = taken[onto.pleat]
        if whole and len(onto.folds) == 1:
            # As of most: nothing is to be taken back, and there is one step to go.
            fold = folds[onto.pleat, onto.folds[0]]
            so_far[0] += abs(fold.top - onto.top)
            so_far[1] += abs(fold.hem - onto.hem)
            continue
        own = [folds[onto.pleat, place] for place in onto.folds]
        back = [0j] * len(own)
        if flat.ring is not None:
            own = [_beside(fold, onto, flat) for fold in own]
        elif flat.joins:
            here = apart[flat.part_of(onto.layer)]
            back = [apart[flat.part_of(fold.layer)] - here for fold in own]
        so_far[0] += intake_at(onto.top, [fold.top + shift for fold, shift in zip(own, back, strict=True)])
        so_far[1] += intake_at(onto.hem, [fold.hem + shift for fold, shift in zip(own, back, strict=True)])
    return taken


def _beside(fold: FlatLine, onto: FlatLine, flat: Unfolded) -> FlatLine:
    # A fold of a pleat that a join parts, laid with its part against that of its placement line.
    for join in flat.joins:
        if (fold.layer <= join.crease) == (onto.layer <= join.crease):
            continue
        line, to = (join.after, join.before) if fold.layer > join.crease else (join.before, join.after)
        turn = (to[1] - to[0]) / (line[1] - line[0])
        turn /= abs(turn)
        shift = (to[0] + to[1]) / 2 - turn * (line[0] + line[1]) / 2
        return fold._replace(top=turn * fold.top + shift, hem=turn * fold.hem + shift)
    return fold


def free_remarks(flat: Unfolded) -> list[str]:
    """Return a remark on where fold lines meet inside the allowance, if they do."""
    # A spot for each wedge; where its edges meet exactly nothing is left over, but the fold lines meet all the same.
    found = [run[0][0] for run in flat.free]
    met = [z for c in flat.creases for z, room in zip((c.out_top, c.out_hem), c.rooms, strict=True) if room < 0]
    if not flat.trimmed or not (found or met):
        return []
    spots = listed([f"({z.real:.0f}, {z.imag:.0f})" for z in dict.fromkeys(found or met)], 6)
    return [
        f"Fold lines meet inside the allowance near {spots} mm on the result's page: there the cutting line is that of the "
        "flat piece, and the small wedge between the lines stays unfolded; snip into it when you press the folds."
    ]


def turned_remarks(lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, unit: str) -> list[str]:
    """Return a remark on fold lines that a hem, turned up, lies more than HEM_WEDGE beside, if there are any."""
    # Turned up, a fold line that meets the hem square lies on itself; at another angle the two part towards the edge.
    worst, off = 0.0, 0.0
    which: set[int] = set()
    rooms = iter(unfolded.creases)
    for pleat in pleats:
        for fold in pleat.folds:
            room = next(rooms).rooms[1]
            way = fold.chord.hem - fold.chord.top
            slant = abs(
                math.asin(
                    max(-1.0, min(1.0, (way.conjugate() * lines.outline.heading(fold.chord.hem_at)).real / abs(way)))
                )
            )
            wedge = 2 * room * math.tan(slant)
            if wedge > HEM_WEDGE:
                which.add(pleat.number)
                worst, off = max(worst, wedge), max(off, math.degrees(slant))
    if not which:
        return []
    said = kinds_in_words({p.number: p.request.kind.name for p in pleats}, which)
    return [
        f"{said}: the folds meet the hem up to {off:.1f} degrees off square. Their lines run straight on through the hem "
        f"allowance, so that turned up it lies up to {show(worst, unit)} beside them at its edge; ease in that wedge, or "
        "turn the hem before you fold."
    ]


def not_carried(piece: FinishedPiece) -> list[str]:
    """Return a remark on what is drawn on the piece and not on the result, if there is anything."""
    return [f"Not carried onto the result: {listed(piece.left_out)}."] if piece.left_out else []


def grain_remarks(facts: tuple[PleatFacts, ...], lines: SlashSet) -> list[str]:
    """Return a remark on pleats whose folds lie off the grain or, across the piece, off level.

    Args:
        facts: of all pleats.
        lines: that they were laid out from; where no grainline is drawn, level is that of their page.
    """
    grain = {f.number: f.grain_degrees for f in facts if f.grain_degrees is not None}
    if not lines.upright and all(degrees > 45 for degrees in grain.values()):
        return _level_remarks(facts, lines, grain)
    off = {number: degrees for number, degrees in grain.items() if degrees > FLAT_GRAIN}
    if not off:
        return []
    listed = kinds_in_words({fact.number: fact.request.kind.name for fact in facts}, off)
    verb = "lies" if len(off) == 1 else "lie"
    most = f"{'' if len(off) == 1 else 'up to '}{max(off.values()):.1f}"
    return [
        f"{listed} {verb} {most} degrees off the grain; over {FLAT_GRAIN:.0f} a fold does not hang like its neighbours. "
        "Fold a sample in the cloth first."
    ]


def _level_remarks(facts: tuple[PleatFacts, ...], lines: SlashSet, grain: dict[int, float]) -> list[str]:
    # Lines across the piece: how far off level, which is square to the grain, or on the page where none is drawn.
    if grain:
        by_pleat = {number: 90 - degrees for number, degrees in grain.items()}
    else:
        ways = [chord.hem - chord.top for chord in lines.chords]
        slants = [math.degrees(math.atan2(abs(way.imag), abs(way.real))) for way in ways]
        by_pleat = {fact.number: slant for fact, slant in zip(facts, slants, strict=True)}
    off = {number: degrees for number, degrees in by_pleat.items() if degrees > OFF_LEVEL}
    kinds = {fact.number: fact.request.kind.name for fact in facts}
    remarks: list[str] = []
    for own, level in ((off, False), ({n: d for n, d in grain.items() if n not in off}, True)):
        if not own:
            continue
        span = " to ".join(dict.fromkeys([f"{least:.1f}" for least in (min(own.values()), max(own.values()))]))
        said = f"{kinds_in_words(kinds, own)} {'lies' if len(own) == 1 else 'lie'}"
        if level:
            remarks.append(f"{said} across the grain, at {span} degrees to it.")
            continue
        of_what = "square to the grain is level" if grain else "on the page, since no grainline is drawn"
        remarks.append(
            message(
                "{} {} degrees off level ({}); over {} a stripe or a check shows it. Place the lines with {}, or draw "
                "them level.",
                said,
                span,
                of_what,
                f"{OFF_LEVEL:.0f}",
                option("run", "level"),
            )
        )
    return remarks
