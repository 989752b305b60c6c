"""Labels against the lines that they name."""

from __future__ import annotations

import re

from pleatsvg.kinds import noun_of
from pleatsvg.proof.folded_pass import where
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece, WrittenWords
from pleatsvg.tolerance import WORDS_OFF

_OF_LINE = {
    "fold-label": ("fold-line",),
    "placement-label": ("placement-line",),
    "inner-label": ("inner-fold-line", "join-line"),
    "stitch-label": ("stitch-line", "fold-line", "edge-stitch-line", "stitch-down-line"),
    "mate-label": ("stitch-line",),
    "pleat-label": ("fold-line", "placement-line", "inner-fold-line", "stitch-line", "join-line"),
}

_NUMBER = re.compile(r"\b(?:FOLD|PLACE|STITCH|PLEATS?|DOWN)\s+(\d+)(?:\s+TO\s+(\d+))?")

_WAYS = {"left": "points left", "right": "points right", "up": "points up", "down": "points down"}


def words_on_lines(piece: ResultPiece) -> list[str]:
    """Return faults of labels that name another pleat, lie beside another's line, or say another lap than their pleat."""
    faults: list[str] = []
    lines: dict[tuple[int, int], list[PatternLine]] = {}
    for line in (*piece.lines, *piece.marks):
        if line.pleat:
            lines.setdefault((line.pass_, line.pleat), []).append(line)
    last = max([line.pass_ for line in piece.lines], default=1)
    for words in piece.words:
        roles = _OF_LINE.get(words.tag.role)
        if roles is None or not words.tag.pleat:
            continue
        faults += _of_another(words)
        own = [one for one in lines.get((words.tag.pass_, words.tag.pleat), []) if one.role in roles]
        off = min([_off(words.middle, line) for line in own], default=None)
        if words.tag.pass_ < last:
            off = None  # those of an earlier pass slide along until they are clear of the later pleats
        if off is not None and off > WORDS_OFF:
            faults.append(
                f"'{_short(words)}', {where(words.middle)}, lies {off:.0f} mm beside the line of {_pleat(words)}"
            )
        faults += _of_another_way(words, own)
    return faults


def _short(words: WrittenWords) -> str:
    return words.text if len(words.text) <= 32 else f"{words.text[:29]}..."


def _pleat(words: WrittenWords) -> str:
    return f"{noun_of(words.tag.kind)} {words.tag.pleat}"


def _of_another(words: WrittenWords) -> list[str]:
    found = _NUMBER.search(words.text)
    if found is None:
        return []
    first, last = int(found[1]), int(found[2] or found[1])
    if first <= words.tag.pleat <= last:
        return []
    return [f"'{_short(words)}', {where(words.middle)}, belongs to {_pleat(words)}"]


def _of_another_way(words: WrittenWords, own: list[PatternLine]) -> list[str]:
    laps = {line.tag.lap for line in own if line.tag.lap in _WAYS}
    said = {lap for lap, way in _WAYS.items() if way in words.text or f"pressed {lap}" in words.text}
    if len(laps) == 1 and said and said != laps:
        return [f"'{_short(words)}', {where(words.middle)}, says that {_pleat(words)} points {said.pop()}"]
    return []


def _off(z: complex, line: PatternLine) -> float:
    # Beside the line or at its end produced, where labels stand in rows beyond the hem.
    best = float("inf")
    for stroke in line.strokes:
        # One of a fitted pleat bends at the hip: there each of its parts is a line of its own.
        parts = [(seg[0], seg[-1]) for seg in stroke if abs(seg[-1] - seg[0]) > 1.0]
        for start, end in [(stroke[0][0], stroke[-1][-1]), *parts]:
            if abs(end - start) > 1e-6:
                along = (end - start) / abs(end - start)
                best = min(best, abs(((z - start) * along.conjugate()).imag))
    return best
