"""A further pass over a flat piece: what the earlier passes left on it is taken through the new pleats.

The lines of an earlier pass fold every layer of the later one's pleats, so each is cut at the new fold lines, and goes with
every layer of cloth that lies where it runs, exactly as the seam does. Its marks and words go with the panel that they lie
on. A line for a later pass, drawn on the finished piece, goes the same way through the earlier pleats, and must come out
straight. All in mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import SlashError
from pleatsvg.flat.carried import Panel, visible
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.strokes import middle_of, parts_between, path_crossings
from pleatsvg.geometry.motion import Motion, bearing, moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.slash_lines import Chord, SlashSet, trimmed
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import folded_words
from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.clear_of import Strokes, chords_of, clear_of_lines
from pleatsvg.result.earlier import Earlier, EarlierWords
from pleatsvg.result.lettering import CAPITALS, Words, width_of
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.tolerance import DECIMALS, FOLD_BACK, MEETING, ON_LINE, ROUNDED_MARK

_CLEAR = 1.0
"""mm that words of an earlier pass keep from a new pleat."""


_SLIDE_STEP = 4.0


_SLIDES = 150


class _Part(NamedTuple):
    layer: int
    start: float
    end: float
    segments: tuple[Segment, ...]


def _parts(
    path: tuple[Segment, ...], lines: SlashSet, chords: Sequence[Chord], motions: Sequence[Motion]
) -> list[_Part]:
    # A path cut at every fold line, each part with every layer of cloth that lies there, and moved with it.
    across = [lines.across(chord).conjugate() for chord in chords]
    ends = [fold for fold in (lines.first, lines.last) if fold is not None]
    places = sorted({0.0, float(len(path)), *[at for chord in (*chords, *ends) for at in path_crossings(path, chord)]})
    found: list[_Part] = []
    for start, end in pairwise(places):
        parts = tuple(parts_between(path, start, end))
        if not parts:
            continue
        middle = middle_of(parts)
        after = [((middle - c.top) * flip).real for c, flip in zip(chords, across, strict=True)]
        before, behind = [
            fold is not None and ((middle - fold.top) * lines.across(fold).conjugate()).real
            for fold in (lines.first, lines.last)
        ]
        for layer, motion in enumerate(motions):
            if (layer == 0 and before < -ON_LINE) or (layer == len(chords) and behind > ON_LINE):
                continue  # the cloth ends at the fold edge
            way = -1.0 if motion.flips else 1.0
            if (layer == 0 or way * after[layer - 1] >= -ON_LINE) and (
                layer == len(chords) or way * after[layer] <= ON_LINE
            ):
                found.append(_Part(layer, start, end, tuple([moved(seg, motion) for seg in parts])))
    found.sort(key=lambda part: (part.layer, part.start if not motions[part.layer].flips else -part.start))
    return found


def _past_the_fold(path: tuple[Segment, ...], lines: SlashSet) -> tuple[Segment, ...]:
    # Of a half piece, an underlay may lie beneath the other half: a path that ends on the fold edge runs on over it.
    fold = lines.first or lines.last
    if fold is None:
        return path
    mirror = reflection(fold.top, fold.hem)
    for turned in (False, True):
        way = tuple([seg[::-1] for seg in reversed(path)]) if turned else path
        end = way[-1][-1]
        slant = (end - way[-1][0]) / (fold.hem - fold.top)
        if abs(mirror.of(end) - end) <= 2 * MEETING and abs(slant.imag) > abs(slant.real):
            there = [moved(seg[::-1], mirror) for seg in reversed(way)]
            there[0] = (end, *there[0][1:])
            whole = (*way, *there)
            return tuple([seg[::-1] for seg in reversed(whole)]) if turned else whole
    return path


class _Run(NamedTuple):
    """A stroke on the flat piece, and the layer of each of its segments."""

    segments: tuple[Segment, ...]
    layers: tuple[int, ...]


_TOUCHING = 1e-7


def _chained(parts: list[_Part]) -> list[_Run]:
    # Parts that meet are one stroke, which runs the way that the path did.
    chains: list[list[_Part]] = []
    for part in parts:
        here = (part, _turned(part))
        if chains:
            last = chains[-1]
            if len(last) == 1 and not any(_meets(last[0], one) for one in here):
                turned = _turned(last[0])
                if any(_meets(turned, one) for one in here):
                    last[0] = turned
            one = next((one for one in here if _meets(last[-1], one)), None)
            if one is not None:
                last.append(one)
                continue
        chains.append([part])
    made: list[_Run] = []
    for chain in chains:
        if chain[0].start > chain[-1].end or (len(chain) == 1 and chain[0].start > chain[0].end):
            chain = [_turned(part) for part in reversed(chain)]
        made.append(
            _Run(
                tuple([seg for part in chain for seg in part.segments]),
                tuple([part.layer for part in chain for _ in part.segments]),
            )
        )
    return made


def _meets(one: _Part, other: _Part) -> bool:
    return abs(one.segments[-1][-1] - other.segments[0][0]) <= _TOUCHING


def _turned(part: _Part) -> _Part:
    return _Part(part.layer, part.end, part.start, tuple([seg[::-1] for seg in reversed(part.segments)]))


def slash_through(
    line: StraightLine,
    drawn: Outline,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    number: int,
) -> StraightLine:
    """Return a line for a later pass, drawn on the finished piece, where it lies on the flat piece.

    Args:
        line: as drawn.
        drawn: the seam that it is drawn on.
        lines, pleats, unfolded: the pass that it is taken through.
        number: of that pass.

    Raises:
        SlashError: it does not come out straight, or does not part the flat piece.
    """
    chord = trimmed(drawn, line)
    path: tuple[Segment, ...] = ((chord.top, chord.hem),)
    chords = [fold.chord for pleat in pleats for fold in pleat.folds]
    said = f"Slash line '{line.name}' of pass {number + 1}"
    crossed = [k for k, c in enumerate(chords) if path_crossings(path, c)]
    if not crossed:
        borders, panels = visible(pleats, unfolded)
        motion = _panel_of((chord.top + chord.hem) / 2, lines, borders, panels).motion
        start, end = moved(path[0], motion)
        return StraightLine(line.name, start, end, line.family)
    runs = _chained(_parts(_past_the_fold(path, lines), lines, chords, unfolded.motions))
    if len(runs) != 1:
        raise SlashError(
            said,
            f"is parted by the pleats of pass {number}: on the flat piece it would be {len(runs)} lines",
            "a line is slashed along from seam to seam",
            "Draw it across all folds of a pleat, or beside the pleat.",
        )
    points = [z for seg in runs[0].segments for z in seg]
    along = (points[-1] - points[0]) / abs(points[-1] - points[0])
    off = [abs(((z - points[0]) * along.conjugate()).imag) for z in points]
    worst = max(off)
    if worst > FOLD_BACK:
        corner = off.index(worst) // 2
        pleat = unfolded.creases[min(runs[0].layers[corner], len(chords) - 1)].pleat
        raise SlashError(
            said,
            f"breaks at pleat {pleat}: on the flat piece it is bent by {worst:.2f} mm",
            f"cloth folds along straight lines only (within {FOLD_BACK} mm), and a line runs straight on through a pleat "
            "where it crosses its folds squarely",
            "Draw the line square to the folds; over tapered or fanned pleats make it the first pass, and the pleats the "
            "second.",
        )
    return StraightLine(line.name, points[0], points[-1], line.family)


def _panel_of(z: complex, lines: SlashSet, borders: list[Chord], panels: list[Panel]) -> Panel:
    return panels[sum(1 for c in borders if ((z - c.top) * lines.across(c).conjugate()).real > 0)]


@dataclass(frozen=True, slots=True)
class Through:
    """What earlier passes left, on the flat piece of the pass after them.

    Attributes:
        earlier: their lines, marks and words there; `kept` is not moved.
        before: the lines as they were.
        layers: for each line, stroke and segment, the layer of cloth that it lies on.
        obstacles: what words must keep clear of, with their layers.
        remarks: on what had no room.
    """

    earlier: Earlier
    before: tuple[PatternLine, ...]
    layers: tuple[tuple[tuple[int, ...], ...], ...]
    obstacles: tuple[tuple[int, tuple[complex, ...]], ...]
    remarks: tuple[str, ...]


def take_through(
    earlier: Earlier,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    drawn: Sequence[Sequence[Segment]] = (),
) -> Through:
    """Return all that earlier passes left, taken through the pleats of a new one.

    Args:
        earlier: their lines, marks and words.
        lines, pleats, unfolded: the new pass.
        drawn: strokes of what else is drawn on the piece, which words keep clear of where they slide.
    """
    chords = list(unfolded.out_chords)
    taken: list[PatternLine] = []
    layers: list[tuple[tuple[int, ...], ...]] = []
    obstacles: list[tuple[int, tuple[complex, ...]]] = []
    for line in earlier.lines:
        runs = [
            run
            for stroke in line.strokes
            for run in _chained(_parts(_past_the_fold(stroke, lines), lines, chords, unfolded.motions))
        ]
        taken.append(PatternLine(line.tag, tuple([run.segments for run in runs])))
        layers.append(tuple([run.layers for run in runs]))
        obstacles += [pair for run in runs for pair in zip(run.layers, run.segments, strict=True)]
    borders, panels = visible(pleats, unfolded)
    own: dict[tuple[int, int], list[PatternLine]] = {}
    ends: dict[tuple[int, int, tuple[int, ...]], list[tuple[complex, int]]] = {}
    for line, there, on in zip(earlier.lines, taken, layers, strict=True):
        own.setdefault((line.pass_, line.pleat), []).append(line)
        for run, of_run in zip(there.strokes, on, strict=True):
            ends.setdefault((line.pass_, line.pleat, line.folds), []).extend(
                [
                    (unfolded.motions[of_run[0]].back(run[0][0]), of_run[0]),
                    (unfolded.motions[of_run[-1]].back(run[-1][-1]), of_run[-1]),
                ]
            )
    marks: list[PatternLine] = []
    lost = 0
    for mark in earlier.marks:
        # The signs at both ends of a line are one mark, so each stroke goes with its own panel.
        strokes: list[tuple[Segment, ...]] = []
        for stroke in mark.strokes:
            spots = _on_own_line([z for seg in stroke for z in (seg[0], seg[-1])], mark, own)
            homes = {_panel_of(z, lines, borders, panels) for z in spots}
            if mark.role == "notch" and len(homes) == 1:
                homes = _with_its_end(homes, spots[0], ends.get((mark.pass_, mark.pleat, mark.folds), ()), panels)
            if len(homes) == 1:
                motion = homes.pop().motion
                strokes.append(tuple([moved(seg, motion) for seg in stroke]))
        lost += len(strokes) < len(mark.strokes)
        if strokes:
            marks.append(PatternLine(mark.tag, tuple(strokes)))
    words, unplaced = _words_through(earlier, lines, pleats, borders, panels, obstacles, drawn)
    remarks = []
    if lost or unplaced:
        what = [f"{unplaced} labels" if unplaced > 1 else "1 label"] if unplaced else []
        what += [f"{lost} small marks" if lost > 1 else "1 small mark"] if lost else []
        those = folded_words([old.kind for old in earlier.told])
        remarks.append(
            f"Of the earlier {those} {' and '.join(what)} had no room between the new ones and were left out; their lines "
            "are all there."
        )
    moved_on = replace(earlier, lines=tuple(taken), marks=tuple(marks), words=tuple(words))
    return Through(moved_on, earlier.lines, tuple(layers), tuple(obstacles), tuple(remarks))


def _on_own_line(
    points: list[complex], mark: PatternLine, own: Mapping[tuple[int, int], Sequence[PatternLine]]
) -> list[complex]:
    # Where a mark along a line lies on it exactly: it was written with fewer decimals, which must not take it to the other
    # side of a new fold that lies there as well.
    for line in own.get((mark.tag.pass_, mark.tag.pleat), ()):
        start, end = line.strokes[0][0][0], line.strokes[-1][-1][-1]
        if line.strokes and line.folds == mark.folds and abs(end - start) > MEETING:
            along = (end - start) / abs(end - start)
            ahead = [((z - start) * along.conjugate()) for z in points]
            if max([abs(w.imag) for w in ahead]) <= ROUNDED_MARK:
                return [start + along * w.real for w in ahead]
    return points


def _with_its_end(
    homes: set[Panel], z: complex, ends: Sequence[tuple[complex, int]], panels: Sequence[Panel]
) -> set[Panel]:
    # A notch stays with the end of its line. Where a new fold begins just there, that end may be drawn on one side of it
    # alone, and the notch, which is drawn beyond the end, would go with the other.
    layers = {layer for end, layer in ends if abs(end - z) <= ROUNDED_MARK}
    if not layers or any(panel.layer in layers for panel in homes):
        return homes
    return {panel for panel in panels if panel.layer in layers} or homes


def as_words(words: EarlierWords) -> Words:
    """Return words of an earlier pass as words on the sheet."""
    return Words(words.text, words.middle, words.turn, words.size, words.tag.role, words.tag.pleat)


_Box = tuple[float, float, float, float]


def _box_of_words(words: EarlierWords, middle: complex) -> tuple[tuple[complex, ...], _Box]:
    corners = Words(words.text, middle, words.turn, words.size, words.tag.role).corners()
    return corners, (
        min(z.real for z in corners),
        min(z.imag for z in corners),
        max(z.real for z in corners),
        max(z.imag for z in corners),
    )


def _words_through(
    earlier: Earlier,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    borders: list[Chord],
    panels: list[Panel],
    obstacles: list[tuple[int, tuple[complex, ...]]],
    things: Sequence[Sequence[Segment]],
) -> tuple[list[EarlierWords], int]:
    # Words stay where they are if they lie on one panel, clear of the lines of the new pleats; else they slide along
    # their own line to the nearest place where they do, by what is seen of it.
    strokes = Strokes(
        [
            *[chords_of(seg) for stroke in things for seg in stroke],
            *[chords_of(seg) for mark in earlier.marks for stroke in mark.strokes for seg in stroke],
        ]
    )
    seen: dict[tuple[int, int], list[tuple[complex, complex]]] = {}
    for line in earlier.lines:
        if line.role in _SEEN:
            seen.setdefault((line.pass_, line.pleat), []).extend(
                (seg[0], seg[-1]) for run in line.strokes for seg in run
            )
    drawn = [fold.chord for pleat in pleats for fold in pleat.folds]
    drawn += [placement.chord for pleat in pleats for placement in pleat.placements]
    taken: list[_Box] = [
        _box_of_points([z for seg in stroke for z in seg])
        for mark in earlier.marks
        if mark.tag.role == "lap-arrow"
        for stroke in mark.strokes
    ]
    made: list[EarlierWords] = []
    unplaced = 0
    stays = [(words, _box_of_words(words, words.middle)[1]) for words in earlier.words]
    wanted = [(words, own, True) for words, own in stays]
    while wanted:
        words, own, whole = wanted.pop(0)
        way = cmath.rect(1.0, math.radians(words.turn))
        on_cloth = lines.outline.holds(words.middle)
        others = [box for other, box in stays if box is not own]
        for k in range(2 * _SLIDES + 1):
            step = (k + 1) // 2 * (1 if k % 2 else -1) * _SLIDE_STEP
            middle = words.middle + step * way
            corners, box = _box_of_words(words, middle)
            if not _clear_of(corners, lines, drawn):
                continue
            if k and (any(_overlap(box, other) for other in (*taken, *others))):
                continue
            if k and not (on_cloth and all(lines.outline.holds(z) for z in corners)):
                continue
            if (k or not whole) and not _beside_what_is_seen(words, middle, seen, strokes.about(corners)):
                continue
            panel = _panel_of(middle, lines, borders, panels)
            turn = words.turn + math.degrees(bearing(panel.motion.turn))
            made.append(words._replace(middle=panel.motion.of(middle), turn=turn))
            obstacles.append((panel.layer, moved(corners, panel.motion)))
            taken.append(box)
            break
        else:
            short = words.text.partition(", ")[0]
            if whole and short != words.text:
                wanted.insert(0, (words._replace(text=short), own, False))
            else:
                unplaced += 1
    return made, unplaced


_SEEN = frozenset(SEEN_OF.values())


def _beside_what_is_seen(
    words: EarlierWords,
    middle: complex,
    seen: Mapping[tuple[int, int], Sequence[tuple[complex, complex]]],
    things: Sequence[tuple[complex, ...]],
) -> bool:
    # Whether words that slid there lie on nothing, and, of a line that is seen in part, still beside that part.
    along = cmath.rect(1.0, math.radians(words.turn))
    wide, high = width_of(words.text, words.size), words.size * CAPITALS
    if not clear_of_lines(middle, along, wide, high, things, 0.5):
        return False
    own = seen.get((words.tag.pass_, words.tag.pleat))
    return own is None or not clear_of_lines(middle, along, wide * _NARROWER, high, own, _BESIDE_SEEN)


_NARROWER = 0.75
"""Of the room that words are given, what they take at least."""


_BESIDE_SEEN = 3.5
"""mm that words may lie from what is seen of their line."""


def _box_of_points(points: list[complex]) -> _Box:
    return (
        min(z.real for z in points),
        min(z.imag for z in points),
        max(z.real for z in points),
        max(z.imag for z in points),
    )


def _overlap(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _clear_of(corners: Sequence[complex], lines: SlashSet, drawn: list[Chord]) -> bool:
    for chord in drawn:
        off = [((z - chord.top) * lines.across(chord).conjugate()).real for z in corners]
        if min(off) < _CLEAR and max(off) > -_CLEAR:
            return False
    return True


def on_page(through: Through, offset: complex) -> Earlier:
    """Return what earlier passes left where it is written, rounded to the decimals that are written."""

    def there(strokes: tuple[tuple[Segment, ...], ...], shift: complex) -> tuple[tuple[Segment, ...], ...]:
        return tuple([tuple([tuple([_rounded(z + shift) for z in seg]) for seg in stroke]) for stroke in strokes])

    old = through.earlier
    return replace(
        old,
        lines=tuple([PatternLine(line.tag, there(line.strokes, offset)) for line in old.lines]),
        marks=tuple([PatternLine(mark.tag, there(mark.strokes, offset)) for mark in old.marks]),
        words=tuple([words._replace(middle=words.middle + offset) for words in old.words]),
        kept=tuple([PatternLine(line.tag, there(line.strokes, offset)) for line in old.kept]),
    )


def _rounded(z: complex) -> complex:
    return complex(round(z.real, DECIMALS), round(z.imag, DECIMALS))
