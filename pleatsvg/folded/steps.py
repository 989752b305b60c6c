"""The folding on one sheet of paper: panels from the flat piece to the folded one, each with the arrow of what it tells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.folded.cautions import pleats_in_words, released_words, slit_words
from pleatsvg.folded.items import ROW, SIZE, Item, Text, shifted
from pleatsvg.folded.moves import Bring, Bringing, Unit, units_of
from pleatsvg.folded.panel import labelled, pictured
from pleatsvg.folded.some import Window, cut_off, shown_at_once, window_of
from pleatsvg.folded.stack import Stack, partial_motions, stack_of
from pleatsvg.folded.upright import laid as laid_for_picture
from pleatsvg.folded.upright import upright
from pleatsvg.kinds import is_kick
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.result.lettering import width_of

SHEET = (210.0, 279.0)
"""mm. What fits on both A4 and Letter."""


SHEET_MARGIN = 10.0


_GAP = 6.0
"""mm between panels side by side, and between a caption and the panel below it."""


_ABOVE, _BESIDE = 13.0, 20.0
"""mm for the numbers of lines: above a panel of upright lines, beside one of level lines."""


_MOST_PANELS = 9


_SMALLEST = 40.0
"""mm. Panels whose longer side is shorter are made fewer and larger, several moves told at each."""


_PACKED = 1.12
"""Words run narrower than their estimate, which is that of capitals."""


CAUTION = (
    "Hot iron and steam burn: keep hands clear, and rest the iron as its maker says. Try heat and steam on a scrap, "
    "and follow the cloth's care label.",
    "Take pins out before the iron comes near; never hold them in the mouth.",
)


_PRESS_BELOW = "Below the {} all are folded: press them there."
_PRESS_ABOVE = (
    "Above the {}, over a board's end: bring each FOLD onto its PLACE in the same order, and stitch from the top down to the "
    "double bars. Measure the top against the finished seam, baste across it inside the allowance, then press."
)


_SOME = "A few pleats are shown at a time, larger; at the broken edge the cloth goes on."


_ALL_KICKS = "All are folded: measure the hem against the finished seam, then press."
"""Of kick pleats, above which the piece is not folded."""


_ALL = "All are folded: measure {} against the finished seam, baste across {} inside the allowance, then press."


@dataclass(frozen=True)
class Panel:
    """One panel: what is drawn and its words below, placed on the sheet, in mm from its upper left corner; and its words."""

    drawn: tuple[Item, ...]
    caption: tuple[Item, ...]
    words: str

    @property
    def items(self) -> tuple[Item, ...]:
        """All that is placed on the sheet."""
        return (*self.drawn, *self.caption)


@dataclass(frozen=True)
class Steps:
    """The sheet of one piece.

    Attributes:
        piece: its name.
        opening: what is said before the panels: what their lines mean, and what is sewn first.
        heading: its rows, placed.
        panels: in order.
        cautions: placed below.
        scale: of the panels, 1 for true.
        height: of the sheet in mm; more than that of paper only for more words than paper holds.
    """

    piece: str
    opening: str
    heading: tuple[Item, ...]
    panels: tuple[Panel, ...]
    cautions: tuple[Item, ...]
    scale: float
    height: float


class Told(NamedTuple):
    """What a panel tells: how the cloth lies by then (creases folded, by pass), what is folded next, and in what words."""

    folded: Mapping[int, AbstractSet[int]]
    units: tuple[Unit, ...]
    words: str
    above: bool = False
    """Whether it shows what lies above the level at which a fitted piece's lines bend."""


def steps_of(proof: Proof) -> Steps:
    """Return the folding of a piece on one sheet: before each move or run of equal moves, and all folded.

    Raises:
        FitError: it has no pleats.
    """
    if not any(done.creases for done in proof.passes):
        raise FitError(f"'{proof.piece}'", "has no pleats", "there is nothing to fold", "Name the pleated piece.")
    units = units_of(proof.passes)
    told = _told(proof, units)
    opening = _flat_words(proof)
    beside = _BESIDE if any(_runs_level(done) for done in proof.passes) else 0.0
    most = min(_MOST_PANELS, len(told))
    some: int | None = None
    while True:
        panels = _merged(told, most)
        windows = [_window(proof, panel, some) for panel in panels]
        stacks = [_stack(_shown(proof, panel), panel.folded, own) for panel, own in zip(panels, windows, strict=True)]
        words = [f"{k}. {panel.words}" for k, panel in enumerate(panels, 1)]
        laid = _best_layout(stacks, words, opening, beside, [bool(some) and own is None for own in windows])
        if some is None and len(proof.passes) == 1:
            row, long = _size(stacks[0])[:: -1 if beside else 1]
            some = shown_at_once(proof.passes[0], row, long, laid.scale)
            if some is not None:
                opening = f"{opening} {_SOME}"
                continue
        longest = max(laid.scale * max(_size(stack)) for stack in stacks)
        if most <= 2 or longest >= _SMALLEST:
            break
        most -= 1
    return _sheet(proof, units, panels, stacks, words, laid, opening, beside, windows)


def _stack(
    passes: tuple[FoldedPass, ...], folded: Mapping[int, AbstractSet[int]], window: Window | None = None
) -> Stack:
    stack = stack_of(passes, folded, drawn_half=True)
    if window is not None:
        (done,) = passes
        on = [k in folded.get(done.number, ()) for k in range(len(done.creases))]
        stack = cut_off(stack, done, partial_motions(done, on), window)
    return laid_for_picture(stack, upright(passes[0]))


def _window(proof: Proof, told: Told, some: int | None) -> Window | None:
    # What a panel shows of a long row of pleats; None where it shows all of it, as the last ones do.
    return window_of(proof.passes[0], told.units, some) if some is not None and told.units else None


def _shown(proof: Proof, told: Told) -> tuple[FoldedPass, ...]:
    return (proof.passes[0].above,) if told.above and proof.passes[0].above is not None else proof.passes


def _runs_level(done: FoldedPass) -> bool:
    # Decided for all lines together: in a fan some lie flatter than the others.
    downs = [crease.hem - crease.top for crease in done.creases]
    return sum([abs(down.real) - abs(down.imag) for down in downs]) > 0


def _told(proof: Proof, units: Sequence[Unit]) -> list[Told]:
    # A panel for each move that differs from the ones before, one for what is left of a run, and the last.
    told: list[Told] = []
    folded: dict[int, frozenset[int]] = {}
    first_of: dict[tuple[str, ...], int] = {}
    numbers = [done.number for done in proof.passes]
    runs = [tuple(run) for _, run in groupby(units, key=_alike)]
    for run in runs:
        key = _alike(run[0])[1]
        rest = run
        opening = ""
        if len(numbers) > 1 and not any(folded.get(run[0].moves[0].number, ())):
            opening = _opening(run[0].moves[0].number, numbers)
        if key not in first_of:
            first_of[key] = run[0].pleat
            for move, words in zip(run[0].moves, run[0].words, strict=True):
                said = f"{run[0].noun.capitalize()} {move.name}: {words.format(*[run[0].pleat] * words.count('{}'))}."
                alone = run[0]._replace(moves=(move,), words=(words,))
                told.append(Told(dict(folded), (alone,), opening + said))
                opening = ""
                folded[move.number] = folded.get(move.number, frozenset()) | set(move.creases)
            rest = run[1:]
            same = "in the same way"
        else:
            same = f"as {run[0].noun} {first_of[key]}"
        if rest:
            one_after_another = ", one after another" if len(rest) > 1 else ""
            said = f"{_named(rest)} {same}{one_after_another}."
            told.append(Told(dict(folded), rest, opening + said))
            for unit in rest:
                for move in unit.moves:
                    folded[move.number] = folded.get(move.number, frozenset()) | set(move.creases)
    ends = ("the left and the right end", "them") if _runs_level(proof.passes[-1]) else ("the top", "it")
    if proof.passes[0].above is None:
        kicks = all(is_kick(crease.line.tag.kind) for done in proof.passes for crease in done.creases)
        words = _ALL_KICKS if kicks else _ALL.format(*ends)
        told.append(Told(dict(folded), (), f"{words} {released_words(proof.passes)}".strip()))
    else:
        level = proof.passes[0].shaped_at
        told += [
            Told(dict(folded), (), _PRESS_BELOW.format(level)),
            Told(dict(folded), (), _PRESS_ABOVE.format(level), above=True),
        ]
    return told


def _alike(unit: Unit) -> tuple[int, tuple[str, ...]]:
    return unit.moves[0].number, (unit.noun, *unit.words)


def _named(units: Sequence[Unit]) -> str:
    words = pleats_in_words([unit.pleat for unit in units])
    noun = units[0].noun
    return (words.replace("pleat", noun, 1) if noun != "pleat" else words).capitalize()


def _opening(number: int, numbers: Sequence[int]) -> str:
    if number == numbers[0]:
        return f"Pass {number} is folded first, for it was laid over the others. "
    return f"Press; then pass {number}. "


def _flat_words(proof: Proof) -> str:
    creases = [crease for done in proof.passes for crease in done.creases]
    placed = any(
        not landing.creases or done.creases[landing.creases[0]].look != "stitched"
        for done in proof.passes
        for landing in done.landings
    )
    stitched = any(crease.look == "stitched" for crease in creases)
    words = "Flat, right side up, at first. Red, with crosses: FOLD."
    words += " Blue, dash-dotted, with bars: PLACE, where it comes to lie." if placed else ""
    words += " Green: STITCH, where a tuck is stitched." if stitched else ""
    if any(done.centre is not None for done in proof.passes):
        words += " Half of it is shown, up to the fold edge; fold the other half likewise, mirrored."
    if any(figure.name == "joins" for figure in proof.figures):
        words += " The parts are sewn together at their joins, equal numbers and notches meeting."
    words += f" {slit_words(proof.passes)}".rstrip()
    if proof.passes[0].above is not None:
        words += f" Shown up to the {proof.passes[0].shaped_at}, where the lines turn; what is above it comes last."
    kicks = sorted({crease.line.pleat for crease in creases if is_kick(crease.line.tag.kind)})
    if kicks:
        words += f" Sew the seam above {pleats_in_words(kicks)}, notches meeting."
    return words


def _merged(told: Sequence[Told], most: int) -> list[Told]:
    # No more panels than `most`, the last of them as it is; what is told at one is told in its order.
    last = 2 if told[-1].above else 1
    steps = told[:-last]
    count = max(1, most - last)
    if len(steps) <= count:
        return list(told)
    found: list[Told] = []
    for k in range(count):
        own = steps[k * len(steps) // count : (k + 1) * len(steps) // count]
        units = tuple([unit for one in own for unit in one.units])
        found.append(Told(own[0].folded, units, " ".join(one.words for one in own)))
    return [*found, *told[-last:]]


class _Layout(NamedTuple):
    columns: int
    scale: float
    height: float
    scales: tuple[float, ...]
    """Of each panel: that of all, or as large as the whole fits beside others of which a part is shown."""


def _size(stack: Stack) -> tuple[float, float]:
    left, top, right, bottom = stack.box
    return right - left, bottom - top


def _cell(columns: int) -> float:
    return (SHEET[0] - 2 * SHEET_MARGIN - _GAP * (columns - 1)) / columns


def _cautions_high() -> float:
    return ROW * sum(len(wrapped(text, _cell(1) * _PACKED, SIZE)) for text in CAUTION) + 3.0


def _head_high(opening: str) -> float:
    return 15.5 + ROW * len(wrapped(opening, _cell(1) * _PACKED, SIZE))


def _best_layout(
    stacks: Sequence[Stack], words: Sequence[str], opening: str, beside: float, whole: Sequence[bool]
) -> _Layout:
    # The number of columns that makes the panels largest, all of them at one scale on one sheet, but for those that show the
    # whole where others show a part of it.
    room = SHEET[1] - 2 * SHEET_MARGIN - _head_high(opening) - _cautions_high()
    best: _Layout | None = None
    for columns in range(1, min(4, len(stacks)) + 1):
        wide = _cell(columns)
        rows = [ROW * len(wrapped(text, wide * _PACKED, SIZE)) for text in words]
        fits = [(wide - beside) / _size(stack)[0] for stack in stacks]
        most = [fit if own else 1.0 for fit, own in zip(fits, whole, strict=True)]
        low, high = 0.0, min([1.0, *[fit for fit, own in zip(fits, whole, strict=True) if not own]])
        if _high(stacks, rows, columns, _each(high, most)) <= room:
            low = high
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if _high(stacks, rows, columns, _each(middle, most)) <= room else (low, middle)
        if best is None or low > best.scale:
            best = _Layout(columns, low, _high(stacks, rows, columns, _each(low, most)), _each(low, most))
    assert best is not None
    if best.scale <= 0:  # more words than a sheet holds: the sheet grows, legible as it is
        columns = min(2, len(stacks))
        scale = min(1.0, *[_SMALLEST / max(_size(stack)) for stack in stacks])
        rows = [ROW * len(wrapped(text, _cell(columns) * _PACKED, SIZE)) for text in words]
        scales = (scale,) * len(stacks)
        return _Layout(columns, scale, _high(stacks, rows, columns, scales), scales)
    return best


def _each(scale: float, most: Sequence[float]) -> tuple[float, ...]:
    return tuple([min(scale, fit) for fit in most])


def _high(stacks: Sequence[Stack], rows: Sequence[float], columns: int, scales: Sequence[float]) -> float:
    total = 0.0
    for k in range(0, len(stacks), columns):
        own = slice(k, k + columns)
        total += max(
            _ABOVE + _size(stack)[1] * scale + 5.0 + high + _GAP
            for stack, scale, high in zip(stacks[own], scales[own], rows[own], strict=True)
        )
    return total


def _sheet(
    proof: Proof,
    units: Sequence[Unit],
    told: Sequence[Told],
    stacks: Sequence[Stack],
    words: Sequence[str],
    laid: _Layout,
    opening: str,
    beside: float,
    windows: Sequence[Window | None],
) -> Steps:
    side = SHEET_MARGIN
    scale = "true to scale" if laid.scale == 1 else f"drawn at {laid.scale * 100:.0f} %; not to be cut from"
    smallest = min(laid.scales)
    if smallest < laid.scale:
        scale = scale.replace(";", f", the whole at {smallest * 100:.0f} % or more;")
    title = _fitting(f"{proof.piece}: how to fold it", 7.0)
    rows = [f"RIGHT SIDE UP, {scale}.", *wrapped(opening, _cell(1) * _PACKED, SIZE)]
    heading = (
        Text(title, complex(side, side + 3.5), size=7.0, anchor="start", look="heading"),
        *[Text(row, complex(side, side + 12 + ROW * n), anchor="start", look="heading") for n, row in enumerate(rows)],
    )
    wide = _cell(laid.columns)
    by_pass = {done.number: Bringing(done) for done in proof.passes}
    y = side + _head_high(opening)
    panels: list[Panel] = []
    for k in range(0, len(stacks), laid.columns):
        row_high = 0.0
        own = slice(k, k + laid.columns)
        for column, (panel, stack, text, size, window) in enumerate(
            zip(told[own], stacks[own], words[own], laid.scales[own], windows[own], strict=True)
        ):
            x = side + column * (wide + _GAP)
            left, top, right, bottom = [value * size for value in stack.box]
            by = complex(x + beside + (wide - beside - right + left) / 2 - left, y + _ABOVE - top)
            pleats = None if window is None else window.pleats
            items = [shifted(item, by) for item in _drawn(proof, panel, stack, size, pleats)]
            frame = (x, y, x + wide, y + _ABOVE + bottom - top)
            if panel.units:
                bringing = by_pass[panel.units[0].moves[0].number]
                shown = [unit for unit in units if pleats is None or unit.pleat in pleats]
                items += labelled(*_lines(panel, shown, bringing), size, by, frame)
            below = y + _ABOVE + bottom - top + 6.0
            rows = wrapped(text, wide * _PACKED, SIZE)
            caption = [Text(row, complex(x, below + ROW * n), anchor="start") for n, row in enumerate(rows)]
            panels.append(Panel(tuple(items), tuple(caption), text))
            row_high = max(row_high, _ABOVE + bottom - top + 5.0 + ROW * len(rows) + _GAP)
        y += row_high
    y = max(y, SHEET[1] - SHEET_MARGIN - _cautions_high())
    below_all = [row for text in CAUTION for row in wrapped(text, _cell(1) * _PACKED, SIZE)]
    cautions = tuple([Text(row, complex(side, y + 3 + ROW * n), anchor="start") for n, row in enumerate(below_all)])
    return Steps(
        proof.piece,
        opening,
        heading,
        tuple(panels),
        cautions,
        laid.scale,
        max(SHEET[1], y + _cautions_high() + SHEET_MARGIN),
    )


def _fitting(text: str, size: float) -> str:
    # A long name gives way, not the margin.
    room = _cell(1) * _PACKED
    while width_of(text, size) > room and len(text) > 4:
        name, _, behind = text.partition(": how")
        text = f"{name[:-2].rstrip('.')}.: how{behind}" if len(name) > 4 else text[:-1]
    return text


def _lines(told: Told, units: Sequence[Unit], bringing: Bringing) -> tuple[list[list[Bring]], list[list[Bring]]]:
    # As the cloth lies in a panel: what its moves bring onto what, and the same of the moves of the pass that come later.
    number = bringing.done.number
    folded = told.folded.get(number, frozenset())
    motions = partial_motions(bringing.done, [k in folded for k in range(len(bringing.done.creases))])
    now = {move for unit in told.units for move in unit.moves}
    lines: tuple[list[list[Bring]], list[list[Bring]]] = ([], [])
    for unit in units:
        for move in unit.moves:
            if move.number == number and folded.isdisjoint(move.creases):
                lines[move not in now].append(bringing.by(move, folded, motions))
    return lines


def _drawn(proof: Proof, told: Told, stack: Stack, scale: float, pleats: AbstractSet[int] | None) -> list[Item]:
    current = told.units[0].moves[0].number if told.units else 0
    return pictured(_shown(proof, told), stack, told.folded, current, scale, pleats)


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
