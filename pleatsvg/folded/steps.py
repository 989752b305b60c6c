"""The folding in a few panels, from the flat piece to the folded one, to follow at the table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.folded.cautions import pleats_in_words
from pleatsvg.folded.items import Item, Line, Text
from pleatsvg.folded.stack import RAW, Stack, partial_motions, stack_of
from pleatsvg.geometry.segment import Box, box_of
from pleatsvg.kinds import is_kick
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.folded_pass import FoldedPass, Span
from pleatsvg.result.lettering import width_of

PANEL = 180.0
"""mm. The widest panel, which is that of the flat piece; all panels of a piece have one scale."""


_TALLEST = 240.0


_ALL_SHOWN = 4


CAUTION = (
    "Hot iron and steam burn: keep hands clear, and rest the iron as its maker says. Try heat and steam on a scrap, "
    "and follow the cloth's care label.",
    "Take pins out before the iron comes near; never hold them in the mouth.",
)


_LAPS = {
    "left": "it points left (right over left)",
    "right": "it points right (left over right)",
    "up": "it points up (lower over upper)",
    "down": "it points down (upper over lower)",
}


@dataclass(frozen=True)
class Panel:
    """One panel: its items at the scale of the panels, the box they take up, and its words."""

    items: tuple[Item, ...]
    box: Box
    words: str


@dataclass(frozen=True)
class Steps:
    """The panels of one piece, in order, and their scale (1 for true)."""

    piece: str
    panels: tuple[Panel, ...]
    scale: float


def steps_of(proof: Proof) -> Steps:
    """Return the folding of a piece in panels: flat, one pleat, some more, all."""
    order = [(done.number, pleat) for done in proof.passes for pleat in _pleats(done)]
    stops = _stops(len(order))
    flat = stack_of(proof.passes, {})
    left, top, right, bottom = flat.box
    scale = min(1.0, PANEL / (right - left), _TALLEST / (bottom - top))
    panels: list[Panel] = []
    for k, count in enumerate(stops):
        folded: dict[int, set[int]] = {}
        for number, pleat in order[:count]:
            folded.setdefault(number, set()).add(pleat)
        stack = stack_of(proof.passes, folded)
        before = stops[k - 1] if k else 0
        following = order[count : count + 1]
        items = _drawn(proof, stack, folded, scale, following)
        box = box_of([z for item in items if isinstance(item, Line) for z in item.points])
        panels.append(Panel(tuple(items), box, f"{k + 1}. {_words(proof, order, before, count)}"))
    return Steps(proof.piece, tuple(panels), scale)


def _pleats(done: FoldedPass) -> list[int]:
    return sorted({span.line.pleat for span in done.creases})


def _stops(count: int) -> list[int]:
    if count <= _ALL_SHOWN:
        return list(range(count + 1))
    return sorted({0, 1, 2, (count + 2) // 2, count})


def _sewn_first(proof: Proof) -> str:
    parted = any(figure.name == "joins" for figure in proof.figures)
    kicks = sorted({s.line.pleat for done in proof.passes for s in done.creases if is_kick(s.line.tag.kind)})
    said = " The parts are sewn together at their joins, equal numbers and notches meeting." if parted else ""
    if kicks:
        said += f" Sew the seam above {pleats_in_words(kicks)}, notches meeting."
    return said


def _words(proof: Proof, order: Sequence[tuple[int, int]], before: int, count: int) -> str:
    if not count:
        return f"Flat, right side up. Red: fold lines. Blue, dash-dotted: where they come to lie.{_sewn_first(proof)}"
    new = order[before:count]
    end = (
        f" All are folded: measure {_ends(proof, order[-1][0])} against the finished seam, baste inside the allowance there, "
        "then press."
        if count == len(order)
        else ""
    )
    if len(new) > 1:
        return f"{pleats_in_words([pleat for _, pleat in new]).capitalize()} in the same way, one after another.{end}"
    number, pleat = new[0]
    done = next(one for one in proof.passes if one.number == number)
    own = [span for span in done.creases if span.line.pleat == pleat]
    noun = "Tuck" if any(span.look == "stitched" for span in own) else "Pleat"
    return f"{noun} {pleat}: {_how(done, own, pleat)}.{end}"


def _ends(proof: Proof, number: int) -> str:
    # The seam across which the pleats of a pass are measured and basted: their top, or both ends of level ones.
    done = next(one for one in proof.passes if one.number == number)
    ways = [span.line.strokes[-1][-1][-1] - span.line.strokes[0][0][0] for span in done.creases]
    upright = sum(abs(way.imag) for way in ways) >= sum(abs(way.real) for way in ways)
    return "the top" if upright else "the left end and the right end"


def _how(done: FoldedPass, own: Sequence[Span], pleat: int) -> str:
    # What is done with a pleat follows from its lines: stitched together, brought onto one line, or onto several.
    lap = own[0].line.tag.lap
    if any(span.look == "stitched" for span in own):
        return f"fold along FOLD {pleat}, wrong sides together, stitch on the two stitching lines, press it {lap}"
    onto = [landing for landing in done.landings if landing.span.line.pleat == pleat and not landing.span.other_half]
    if lap not in _LAPS and any(len(landing.creases) > 1 for landing in onto):
        return f"bring both lines FOLD {pleat} onto PLACE {pleat}, so that they meet; pin"
    if lap not in _LAPS and len(onto) > 1:
        return (
            f"bring each FOLD {pleat} onto the PLACE {pleat} outside it, so that they point away from each other; pin"
        )
    outward = [span for span in own if span.mountain and not span.brought]
    inside = f"; INNER FOLD {pleat} OUTWARD is folded as FOLD is, underneath" if outward else ""
    way = f"; {_LAPS[lap]}" if lap in _LAPS else ""
    return f"bring FOLD {pleat} onto PLACE {pleat}{inside}{way}; pin"


def _drawn(
    proof: Proof, stack: Stack, folded: dict[int, set[int]], scale: float, following: Sequence[tuple[int, int]]
) -> list[Item]:
    items: list[Item] = []
    passes = [done.number for done in proof.passes for _ in done.creases]
    folds = [span.line.pleat in folded.get(number, set()) for span, number in zip(stack.creases, passes, strict=True)]
    waiting: list[Item] = []
    for sheet in stack.sheets:
        points = [z * scale for z in sheet.points]
        items.append(Line("sheet-right" if sheet.over else "sheet-wrong", tuple(points), True))
        run: list[complex] = []
        for j, tag in enumerate(sheet.tags):
            a, b = points[j], points[(j + 1) % len(points)]
            if tag == RAW:
                run = [*run, b] if run else [a, b]
                continue
            if run:
                items.append(Line("raw", tuple(run)))
                run = []
            if not folds[tag] and sheet.over:
                waiting.append(Line(_look(stack.creases[tag], stack.creases[tag].mountain), (a, b)))
        if run:
            items.append(Line("raw", tuple(run)))
    if any(folds):
        items += [Line("shade", tuple([z * scale for z in sheet.points]), True) for sheet in stack.sheets]
    for number, tag, a, b in stack.crease_edges():
        if folds[tag]:
            for part in stack.parts(number, a, b):
                start, end = sorted((part.start * scale, part.end * scale), key=lambda z: (z.imag, z.real))
                items.append(Line(_look(stack.creases[tag], part.seen), (start, end)))
    items += waiting
    done = next((one for one in proof.passes if not _all_folded(one, folded)), None)
    if done is not None:
        items += _waiting(done, folded.get(done.number, set()), scale, following)
    return items


def _look(span: Span, seen: bool) -> str:
    return f"{span.look}-{'seen' if seen else 'hidden'}"


def _all_folded(done: FoldedPass, folded: dict[int, set[int]]) -> bool:
    return set(_pleats(done)) <= folded.get(done.number, set())


def _waiting(done: FoldedPass, folded: set[int], scale: float, following: Sequence[tuple[int, int]]) -> list[Item]:
    # The lines that folds are still to be brought onto, and for the next pleat an arrow and its names.
    on = [span.line.pleat in folded for span in done.creases]
    motions = partial_motions(done, on)
    items: list[Item] = []
    following_pleat = following[0][1] if following and following[0][0] == done.number else 0
    for landing in done.landings:
        if landing.span.line.pleat in folded:
            continue
        motion = motions[landing.layer]
        a, b = motion.of(landing.span.top) * scale, motion.of(landing.span.hem) * scale
        items.append(Line("placement", (a, b)))
        if landing.span.line.pleat != following_pleat or landing.span.other_half:
            continue
        for k in landing.creases:
            crease = done.creases[k]
            top, hem = motions[k].of(crease.top) * scale, motions[k].of(crease.hem) * scale
            start, end = top + (hem - top) * 0.45, a + (b - a) * 0.45
            if abs(end - start) > 6:
                items += _arrow(start, end)
    return items


def _arrow(start: complex, end: complex) -> list[Item]:
    # A bow from the fold line to the line it is brought onto.
    way = end - start
    bow = start + way / 2 + way * (0.28j if way.real < 0 else -0.28j)
    points = [(1 - t) ** 2 * start + 2 * t * (1 - t) * bow + t * t * end for t in [k / 12 for k in range(13)]]
    back = points[-1] - points[-3]
    back /= abs(back)
    head = (end - 3 * back + 1.6j * back, end, end - 3 * back - 1.6j * back)
    return [Line("arrow", tuple(points)), Line("arrow", head)]


def wrapped(text: str, width: float, size: float) -> list[str]:
    """Return words in rows no wider than `width` mm."""
    rows, row = [], ""
    for word in text.split():
        if row and width_of(f"{row} {word}", size) > width:
            rows.append(row)
            row = word
        else:
            row = f"{row} {word}".strip()
    return [*rows, row]


def label(words: str, at: complex) -> Text:
    """Return words of a panel that begin at a place."""
    return Text(words, at, anchor="start")
