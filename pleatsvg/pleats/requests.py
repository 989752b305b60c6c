"""What is asked for, on this piece: which lines are slashed along, in which order, and what pleat each makes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from pleatsvg.errors import FitError, RequestError, SlashError, near_names
from pleatsvg.kinds import KINDS, called
from pleatsvg.order.line_names import NUMBERED, worded
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import OpenOrder, PleatOrder
from pleatsvg.piece.both_halves import BothHalves, both_halves_of, opened
from pleatsvg.piece.cutting.drawn_cutting_line import inside_of
from pleatsvg.piece.edges import seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine, lost_names
from pleatsvg.piece.slash_lines import SlashSet, in_order, trimmed
from pleatsvg.pleats.allround.centres import centre_for
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.placed_lines import placed_lines, refuse_over_hem, run_of_lines
from pleatsvg.pleats.words import kinds_in_words
from pleatsvg.tolerance import CENTRE_BAND, ON_FOLD
from pleatsvg.wording import Words, command, message, option


def made_ready(piece: FinishedPiece, order: Order) -> tuple[FinishedPiece, BothHalves, list[str]]:
    """Return the piece as it is to be pleated, what its pleats are laid out on, and remarks.

    Where the outline is drawn as the cutting line, its seam is found; where it is asked for, a half piece is opened out.

    Raises:
        FitError: there is no seam, or no fold edge to open the piece at.
    """
    if order.allowances.drawn is not None:
        piece = inside_of(piece, order.allowances.drawn)
    elif piece.only_cut:
        raise FitError(
            f"Piece '{piece.name}'",
            "has a cutting line, but no seam",
            "pleats are worked out on the stitching line",
            message(
                "Give {} and the allowance that the cutting line includes, such as {}; or draw the seam as well.",
                option("allowance_drawn"),
                option("allowance_drawn", "15mm"),
            ),
        )
    said: list[str] = []
    if order.pivot:
        from pleatsvg.piece.pivots.asked import with_closed_darts  # of no use to a piece whose darts stay

        piece, said = with_closed_darts(piece, order.pivot, order.unit)
    if order.fit is not None and order.fit.darts:
        from pleatsvg.piece.pivots.taken import with_taken_darts

        piece, said = with_taken_darts(piece, order.fit.darts, order.unit)
    halves = both_halves_of(piece, order.fold_edge)
    if not order.open_fold:
        return piece, halves, said
    if halves.fold is None:
        raise FitError(
            f"Piece '{piece.name}'",
            "was to be opened out, but has no fold edge",
            "only a half piece has another half",
            message(
                "Leave out {}; or name the fold edge on the drawing, or with {}.",
                option("open_fold"),
                option("fold_edge"),
            ),
        )
    whole = opened(piece, halves)
    remark = "The half piece was opened out at its fold edge; what is drawn on it is there twice, texts once."
    return whole, both_halves_of(whole), [*said, remark]


def in_row(piece: FinishedPiece, halves: BothHalves, used: list[StraightLine], unit: str) -> SlashSet:
    """Return the lines in the order in which their pleats are numbered, with the fold edge before or after all of them.

    Of a piece cut on the fold, the fold edge is put in order as a line of its own, unless a slash line lies on it.

    Args:
        piece: as drawn.
        halves: what the pleats are laid out on.
        used: the lines to slash along, at least one.
        unit: for messages.

    Raises:
        SlashError: a line lies beyond the fold edge, or the lines do not stand in a row; cf. `in_order`.
    """
    if halves.fold is None:
        return in_order(halves.outline, used, unit, piece.closed_darts)
    fold = halves.fold
    way = (fold.end - fold.start) / abs(fold.end - fold.start)
    on_it = [
        k
        for k, line in enumerate(used)
        if max(abs(((z - fold.start) * way.conjugate()).imag) for z in (line.start, line.end)) <= ON_FOLD
    ]
    snapped = [replace(line, start=fold.start, end=fold.end) if k in on_it else line for k, line in enumerate(used)]
    lines = in_order(halves.outline, snapped if on_it else [*snapped, fold], unit, piece.closed_darts)
    at = lines.given.index(on_it[0] if on_it else len(used))
    edge = lines.chords[at]
    inside = next(
        z
        for seg, drawn in zip(halves.outline.segments, halves.drawn, strict=True)
        if drawn
        for z in (seg[0], (seg[0] + seg[-1]) / 2)
        if abs(((z - edge.top) * lines.across(edge).conjugate()).real) > ON_FOLD
    )
    drawn_before = ((inside - edge.top) * lines.across(edge).conjugate()).real < 0
    if at != (len(lines.chords) - 1 if drawn_before else 0):
        wrong = lines.names[-1] if drawn_before else lines.names[0]
        raise SlashError(
            f"Slash line '{wrong}'",
            "lies beyond the fold edge",
            "on a piece cut on the fold the lines lie on the half that is drawn",
            "Delete it; its mirror image on the drawn half makes both pleats.",
        )
    first, last = (None, edge) if drawn_before else (edge, None)
    if on_it:
        return replace(lines, first=first, last=last)
    keep = [k for k in range(len(lines.chords)) if k != at]
    return replace(
        lines,
        chords=tuple([lines.chords[k] for k in keep]),
        names=tuple([lines.names[k] for k in keep]),
        given=tuple([lines.given[k] for k in keep]),
        first=first,
        last=last,
    )


def _asked_for(
    piece: FinishedPiece, order: PleatOrder | OpenOrder, unit: str, fold: StraightLine | None, finished: float | None
) -> Iterator[tuple[list[StraightLine], bool]]:
    # Lines by name and lines that are placed, and whether another order for the same line contradicts this one.
    named = [(_named_lines(piece, wanted, unit), _spoken(wanted) != "all") for wanted in order.slash]
    placing = order.placing
    if placing is None:
        yield from named
        return
    if placing.gap is None:
        placed = placed_lines(piece, placing, unit, fold, finished)
        refuse_over_hem(piece, placing, placed, unit)
        yield placed, True
        yield from named
        return
    assert placing.count is not None
    starts = placed_lines(piece, placing, unit) if placing.at else []
    for found, _ in named:
        starts += found
    if not starts:
        starts = list(piece.slashes)
        if placing.along is not None and starts:
            raise RequestError(
                message("A run of lines along '{}'", placing.along),
                "has no place to begin at",
                "without one a run begins at each slash line drawn, whatever edge is named",
                message("Give {}, so far along that edge; or leave out {}.", option("at", "5cm"), option("along")),
            )
    for line in starts:
        row = run_of_lines(line, placing.count, placing.gap, piece.outline, unit)
        refuse_over_hem(piece, placing, row, unit)
        yield row, True


def lines_for(
    piece: FinishedPiece, order: Order, fold: StraightLine | None = None
) -> tuple[list[StraightLine], list[PleatOrder | OpenOrder | None], list[str]]:
    """Return the lines to slash along, for each the order that it was asked for with, and remarks.

    Orders that name no line share those that no other order names. An order is None where only a line's name can say
    what pleat is to be made.

    Args:
        piece: as it is to be pleated.
        order: what is asked for.
        fold: the fold edge of a piece that is cut on the fold.

    Raises:
        SlashError: there is no line, a line is not on the piece, or two orders ask for one line.
        FitError: a line cannot be placed.
    """
    remarks: list[str] = []
    lines: dict[StraightLine, int] = {}
    orders: list[PleatOrder | OpenOrder | None] = []

    def take(found: Iterable[StraightLine], pleats: PleatOrder | OpenOrder | None, once: bool) -> None:
        for line in found:
            if line not in lines:
                lines[line] = len(lines)
                orders.append(pleats)
            elif once and orders[lines[line]] is not pleats:
                raise SlashError(
                    f"Slash line '{line.name}'",
                    "is asked for twice, as a pleat of two kinds",
                    "a line makes one pleat",
                    "Name it in one place only.",
                )

    finished = None if order.finish is None else order.finish.top
    runs: list[PleatOrder | OpenOrder] = [*order.pleats, *order.open]
    for pleats in runs:
        for found, once in _asked_for(piece, pleats, order.unit, fold, finished):
            take(found, pleats, once)
    if not order.pleats and not order.open:
        take(piece.slashes, None, False)
    for pleats in runs:
        if pleats.placing is None and not pleats.slash:
            take(piece.slashes, pleats, False)
        elif (
            pleats.placing is not None
            and pleats.placing.gap is None
            and not pleats.slash
            and len(runs) == 1
            and piece.slashes
        ):
            remarks.append(
                message(
                    "The {} drawn on the piece {} left out, since lines were placed; name {} with {} to use both.",
                    "slash line" if len(piece.slashes) == 1 else f"{len(piece.slashes)} slash lines",
                    "was" if len(piece.slashes) == 1 else "were",
                    "it" if len(piece.slashes) == 1 else "them",
                    option("slash"),
                )
            )
    if piece.grain is None and any(p.placing is not None and p.placing.run == "level" for p in order.pleats):
        remarks.append(
            "No grainline is drawn, so the lines are level on the page; draw one, and they are laid square to it."
        )
    if not lines:
        raise SlashError(
            f"Piece '{piece.name}'",
            "has no slash lines",
            "a pleat needs a line to slash along",
            message(
                "Draw straight lines from edge to edge and name them 'slash 1', 'slash 2'; or give {}, {} or {}{}.{} A "
                "waistband or a facing without pleats is a companion of the piece that it is sewn to.",
                option("slash", "all"),
                option("at"),
                option("count"),
                "" if finished is None else message("; or {}, and the count is found for it", option("intake", "6cm")),
                lost_names(piece),
            ),
        )
    return list(lines), orders, remarks


def as_named(
    lines: list[StraightLine],
    orders: Sequence[PleatOrder | OpenOrder | None],
    finishes: bool = False,
    pivots: bool = False,
) -> list[PleatOrder]:
    """Return the order for each line once its name has been read; lines that ask for the same share one order.

    Args:
        lines: to slash along.
        orders: what was asked of each, or None.
        finishes: the piece is finished to a length, from which the intake may follow.
        pivots: darts of it are closed, cf. `pleats_from`.

    Raises:
        RequestError: neither the name of a line nor an option says what kind of pleat it makes.
        SlashError: a name contradicts itself or says too little.
    """
    made: list[PleatOrder] = []
    known: dict[PleatOrder, PleatOrder] = {}
    for line, order in zip(lines, orders, strict=True):
        found = worded(line.name, order, finishes, pivots) if line.family or isinstance(order, OpenOrder) else order
        if found is None:
            raise RequestError(
                f"The kind of pleat at '{line.name}'",
                "is missing",
                "neither its name nor an option says it",
                message(
                    "Give {} {}; or name the line such as 'slash 2 inverted 12cm'.", option("kind"), ", ".join(KINDS)
                ),
            )
        made.append(known.setdefault(found, found))
    return made


def requests_for(
    piece: FinishedPiece, lines: SlashSet, orders: list[PleatOrder], fold: StraightLine | None = None
) -> list[PleatRequest]:
    """Return for each line in order what is asked of its pleat; alike pleats share one request, so that it is worded once.

    Args:
        piece: as drawn.
        lines: in order.
        orders: for each line.
        fold: the fold edge, drawn or named by an option; the centre that laps face.

    Raises:
        FitError: a lap does not go with the way a line runs, or with a piece that is cut on the fold.
    """
    made: dict[tuple[int, int, int], PleatRequest] = {}
    requests: list[PleatRequest] = []
    for k, order in enumerate(orders):
        chord = lines.chords[k]
        half = -1 if chord is lines.last else 1 if chord is lines.first else 0
        if (lines.first is not None or lines.last is not None) and not lines.ring:
            _refuse_turning_round(lines, k, order, bool(half))
        centre = fold or piece.fold_edge or piece.centre if piece.ring is None else centre_for(piece.ring, chord)
        way = _towards(centre, lines, k, order)
        if (id(order), way, half) not in made:
            made[id(order), way, half] = PleatRequest(
                kind=order.kind,
                towards=way,
                intake_top=order.intake_top,
                intake_hem=order.intake_hem,
                face=order.face,
                half=half,
                stack=order.stack,
                stitched=order.stitched,
                separate=order.separate,
                height=order.height,
            )
        requests.append(made[id(order), way, half])
    return requests


def _refuse_turning_round(lines: SlashSet, k: int, order: PleatOrder, on_fold: bool) -> None:
    subject = f"{called(order.kind.name, k + 1)} at '{lines.names[k]}'"
    if on_fold and not order.kind.to_before.alike_on_both_sides:
        raise FitError(
            subject,
            f"is a {order.kind.noun} on the fold edge",
            "it would meet its own mirror image there; half a box or half an inverted pleat can lie on a fold edge",
            "Make it an inverted or a box pleat, or move the line away from the fold edge.",
        )
    if order.lap in ("left", "right", "up", "down"):
        raise FitError(
            subject,
            f"is to lap {order.lap} on a piece that is cut on the fold",
            "its fold would turn round at the fold edge and point the other way on the other half",
            message(
                "Give {} or {}; or add {}, which writes the whole piece with all folds one way.",
                option("lap", "centre"),
                option("lap", "sides"),
                option("open_fold", True),
            ),
        )


def _named_lines(piece: FinishedPiece, wanted: str, unit: str) -> list[StraightLine]:
    plain = _spoken(wanted)
    every = [*piece.slashes, *piece.crossing_lines]
    found = [line for line in every if _spoken(line.name) == plain] or [
        line for line in every if _spoken(line.family) == plain
    ]
    if found:
        return found
    by_number = _NUMBER.fullmatch(plain)
    if by_number is not None:
        numbered = lines_by_number(piece, int(by_number[1]), unit)
        if numbered:
            return numbered
    if plain == "all":
        return lines_across(piece, unit)
    if any(plain in (edge.name, edge.trade) for edge in seam_edges(piece.outline)) or any(
        plain in (_spoken(name), part) for name, part in piece.parts if part in ("fold edge", "centre")
    ):
        raise SlashError(
            f"'{wanted}'",
            "is an edge or the centre of this piece, not a slash line",
            "a pleat needs a line of its own, on a fold edge too",
            "Draw a straight line there and name it 'slash 1'.",
        )
    raise SlashError(
        f"Slash line '{wanted}'",
        "is not on this piece",
        near_names(wanted, [line.name for line in every]),
        message("Check the name in the editor's list of objects; {} lists every line.", command("measure")),
    )


def lines_across(piece: FinishedPiece, unit: str) -> list[StraightLine]:
    """Return the slash lines, and the straight lines without a part that run across the piece like them."""
    others = [line for line in piece.crossing_lines if line != piece.shared and _crosses(piece, line, unit)]
    return [*piece.slashes, *others]


def lines_by_number(piece: FinishedPiece, number: int, unit: str) -> list[StraightLine]:
    """Return the slash line that has a number, with its mirror image on a piece that was opened out; [] where none has, or
    two have.

    The number is the one in its name. Where no name has one it is the line's place from the left, as it is when the piece
    is measured.
    """
    numbers = [_number_of(line.name) for line in piece.slashes]
    if any(own is not None for own in numbers):
        found = [line for line, own in zip(piece.slashes, numbers, strict=True) if own == number]
        return found if len({line.name.removesuffix(" mirrored") for line in found}) == 1 else []
    try:
        row = in_order(piece.outline, list(piece.slashes), unit, piece.closed_darts).given if piece.slashes else ()
    except SlashError:
        return []
    return [piece.slashes[row[number - 1]]] if 0 < number <= len(row) else []


_NUMBER = re.compile(r"(?:slash|pleat)?(?: lines?)?[ -]*(\d{1,6})")
"""What a slash line may be called by for short: "2", "slash2"."""


def _number_of(name: str) -> int | None:
    # "slash 2 knife 6cm" is line 2, "slash 6cm" has no number: a length is none.
    number = NUMBERED.match(_spoken(name))
    return None if number is None else int(re.findall(r"\d+", number[0])[-1])


def _spoken(name: str) -> str:
    # As it would be said: an id has underscores where a label has blanks.
    return " ".join(name.replace("_", " ").split()).casefold()


def _crosses(piece: FinishedPiece, line: StraightLine, unit: str) -> bool:
    try:
        trimmed(piece.outline, line, unit)
    except SlashError:
        return False
    return True


def _towards(centre: StraightLine | None, lines: SlashSet, k: int, order: PleatOrder) -> int:
    lap = order.lap
    if lap is None:
        return -1
    if lap in ("left", "right", "up", "down"):
        if lines.upright != (lap in ("left", "right")):
            run, words = ("up and down", "left or right") if lines.upright else ("across", "up or down")
            subject = f"{called(order.kind.name, k + 1)} at '{lines.names[k]}'"
            raise FitError(
                subject,
                f"was to lap {lap}, but its line runs {run} the page",
                f"such a fold points {words}",
                message("Give {} {}.", option("lap"), words),
            )
        return -1 if lap in ("left", "up") else 1
    chord = lines.chords[k]
    if centre is not None:
        middle = (centre.start + centre.end) / 2
        off = ((middle - (chord.top + chord.hem) / 2) * lines.across(chord).conjugate()).real
    else:
        off = _from_middle(lines, k)
    if abs(off) <= CENTRE_BAND:
        raise FitError(
            f"{called(order.kind.name, k + 1)} at '{lines.names[k]}'",
            f"lies within {CENTRE_BAND:.0f} mm of the centre",
            f"a {lap} lap needs a line that lies to one side of it",
            message(
                "Tuck that line by itself with {} and a lap of its own."
                if order.kind.stitched
                else "Pleat that line by itself with {} and a lap of its own, or make it an inverted or box pleat.",
                option("slash"),
            ),
        )
    to_centre = 1 if off > 0 else -1
    return to_centre if lap == "centre" else -to_centre


def _from_middle(lines: SlashSet, k: int) -> float:
    # How far the middle of the set lies after line k, along the top seam; one line alone is held against the middle of
    # the seam edge that its top lies on.
    outline = lines.outline
    tops = [chord.top_at for chord in lines.chords]
    here = outline.sewn_distance(tops[0], tops[k])
    if len(tops) > 1:
        return outline.sewn_distance(tops[0], tops[-1]) / 2 - here
    before, after = outline.corners_around(tops[0], tops[0])
    return (outline.sewn_distance(tops[0], float(after)) - outline.sewn_distance(float(before), tops[0])) / 2


def over_the_sides(lines: SlashSet, ground: BothHalves, orders: Sequence[PleatOrder]) -> list[Words]:
    """Return a remark on placed lines that run out over a side of the piece before they come to its hem, if there are any.

    Args:
        lines: in order.
        ground: what they lie on.
        orders: of their pleats. Of a drawn line it is taken that it was meant.
    """
    named = {edge.number: edge.name for edge in ground.edges}
    if not lines.upright or "hem" not in named.values():
        return []
    out: dict[int, str] = {}
    for number, (chord, order) in enumerate(zip(lines.chords, orders, strict=True), 1):
        edge = named.get(ground.edge_of[math.floor(chord.hem_at) % len(lines.outline)], "")
        if order.placing is not None and order.placing.run != "fan" and edge in ("left side", "right side"):
            out[number] = edge
    if not out:
        return []
    who = kinds_in_words({number: order.kind.name for number, order in enumerate(orders, 1)}, out)
    sides = " and ".join([f"the {side}" for side in dict.fromkeys(out.values())])
    return [
        message(
            "{} {} out over {} before {} to the hem; {} leads every line to the hem.",
            who,
            "runs" if len(out) == 1 else "run",
            sides,
            "it comes" if len(out) == 1 else "they come",
            option("run", "fan"),
        )
    ]
