"""The sample that is folded first: a strip with three pleats of every kind and depth on the piece, marked like the pattern.

It is a result like any other: drawn as a plain strip, pleated by the same job, proven; it can be folded, printed and pleated
again. Below its key stand lines to write down what the folds lose, and where that goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from pleatsvg.card.cards import unit_of
from pleatsvg.drawing.read import drawing_from
from pleatsvg.drawing.read_result import result_from
from pleatsvg.errors import FitError
from pleatsvg.job import pleat_piece
from pleatsvg.kinds import KINDS
from pleatsvg.length import Length, show
from pleatsvg.order.piece_order import piece_order
from pleatsvg.page.measures import MARGIN, ROW_PITCH
from pleatsvg.piece.choose import finished_piece
from pleatsvg.plan.options import PLAN_OPTIONS
from pleatsvg.pleated import PleatedPiece
from pleatsvg.proof.prove import proven
from pleatsvg.result.figures import Ends, PleatFigures
from pleatsvg.writing.layers import CLOSE, LETTERS, open_layer
from pleatsvg.writing.lettering import sized_stencil
from pleatsvg.writing.result import result_bytes
from pleatsvg.writing.stencil import escaped

EACH = 3
"""Pleats of a kind: one between two others is folded and pressed as on the piece."""

HEIGHT = 150.0
"""mm: long enough to press, short enough for a scrap."""

_ROOM = 15.0
"""mm beyond the underlay of the first and the last pleat."""

_LEAST_MARGIN = 30.0

_SIZE = 4.2

_LOSS = PLAN_OPTIONS["fold_loss"].flag

_CUT = "Cut along the outline: a sample needs no allowance."

_LAPS = {"up": "left", "down": "right"}
"""Level pleats lie upright on the strip."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried: a kind of pleat in its figures, mm."""

    kind: str
    lap: str
    stack: int
    intake: float
    face: float
    step: float

    @property
    def depth(self) -> float:
        """From outer fold to inner fold."""
        return self.intake / KINDS[self.kind].folds(-1, self.stack).depths_taken

    @property
    def folds(self) -> int:
        """Of one pleat."""
        return len(KINDS[self.kind].folds(-1, self.stack).folds)


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample: the trials in it, its flat piece, its finished width in mm, the unit that it is told in, and its bytes."""

    trials: tuple[Trial, ...]
    result: PleatedPiece
    width: float
    unit: str
    data: bytes

    @property
    def folds(self) -> int:
        """All that are folded."""
        return EACH * sum([trial.folds for trial in self.trials])


def sample_of(source: str, data: bytes) -> Sample:
    """Return the sample for a result.

    Args:
        source: the file's name.
        data: its bytes.

    Raises:
        PleatError: it is not a result, or does not fold true.
    """
    pieces = [piece for piece in result_from(data, source).pieces if piece.by_role("seam-line")]
    pleats: list[PleatFigures] = []
    for piece in pieces:
        proof = proven(piece, source, "tried")
        pleats += proof.pleats
    unit = unit_of([words.text for piece in pieces for words in piece.words if words.tag.role == "pleat-label"])
    trials = _trials(pleats)
    if not trials:
        raise FitError(
            f"'{source}'", "has no pleats to try", "a sample has those of its result", "Name the pleated piece."
        )
    name = " and ".join([piece.name for piece in pieces])
    drawing, width, runs = _strip(trials, f"sample for {name}", unit)
    made = pleat_piece(finished_piece(drawing_from(drawing, "sample")), piece_order(runs, {}))
    return Sample(trials, made, width, unit, _with_lines(made, width, unit, EACH * sum([t.folds for t in trials])))


def _trials(pleats: Sequence[PleatFigures]) -> tuple[Trial, ...]:
    # Each kind and depth once, by the figures of its first pleat: at the top, or at the hem where it dies away at the top; of a
    # fitted one where its lines bend, for above that each takes up a little more or less than the next.
    found: dict[tuple[object, ...], Trial] = {}
    for pleat in pleats:
        kind = "inverted" if pleat.kind == "kick" else pleat.kind
        if kind not in KINDS:
            continue
        at_top = (pleat.intake.top or 0.0) > 1.0
        intake = pleat.intake.hip or (pleat.intake.top if at_top else pleat.intake.hem) or 0.0
        creases = sum(line.role != "placement-line" for line in pleat.lines)
        half = 2 * creases == len(KINDS[kind].folds(-1, pleat.stack).folds)  # the other half of it is mirrored
        intake = round(intake * (2 if half else 1), 2)
        if intake < 1.0:
            continue
        face = _figure(pleat.face)
        face = round((face or 0.0) * (2 if half else 1), 2) if kind == "box" else 0.0
        spacing = _figure(pleat.spacing)
        trial = Trial(kind, _LAPS.get(pleat.lap, pleat.lap), pleat.stack, intake, face, 0.0)
        step = round(max(spacing or 0.0, 10.0) if spacing else max(2 * trial.depth, 40.0), 2) + face
        digits = 1 if pleat.intake.hip is None else 0  # strongly leaning lines part by a hair where they bend
        alike = (kind, pleat.stack, round(intake, digits), round(face, digits))
        found.setdefault(alike, replace(trial, step=min(step, max(150.0, 3 * trial.depth))))
    return tuple(found.values())


def _figure(ends: Ends) -> float | None:
    return next((value for value in (ends.hip, ends.top) if value is not None), ends.hem)


def _strip(trials: Sequence[Trial], name: str, unit: str) -> tuple[bytes, float, list[dict[str, Any]]]:
    # The finished strip as a drawing, its width, and what is asked for.
    at = max(_LEAST_MARGIN, trials[0].depth + trials[0].face / 2 + _ROOM)
    lines: list[str] = []
    runs: list[dict[str, Any]] = []
    for number, trial in enumerate(trials):
        if number:
            before = trials[number - 1]
            at += before.depth + before.face / 2 + trial.depth + trial.face / 2 + _ROOM
        names = []
        for k in range(EACH):
            names.append(f"slash {len(lines) + 1}")
            x = f"{at + k * trial.step:.6g}"
            lines.append(f'<line data-name="{names[-1]}" x1="{x}" y1="0" x2="{x}" y2="{HEIGHT}"/>')
        at += (EACH - 1) * trial.step
        run: dict[str, Any] = {"slash": names, "kind": trial.kind, "intake": Length(trial.intake, unit)}
        if KINDS[trial.kind].needs_lap:
            run["lap"] = trial.lap
        if trial.face:
            run["face"] = Length(trial.face, unit)
        if trial.stack > 1:
            run["stack"] = trial.stack
        runs.append(run)
    width = at + max(_LEAST_MARGIN, trials[-1].depth + trials[-1].face / 2 + _ROOM)
    whole = f"{width:.6g}"
    grain = f"{_LEAST_MARGIN / 3:.6g}"
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{whole}mm" height="{HEIGHT}mm" viewBox="0 0 {whole} {HEIGHT}">'
        f'<path data-name="seam {escaped(name)}" d="M0 0H{whole}V{HEIGHT}H0Z"/>'
        f'<line data-name="grainline" x1="{grain}" y1="45" x2="{grain}" y2="105"/>{"".join(lines)}</svg>'
    )
    return drawing.encode(), float(whole), runs


def _with_lines(made: PleatedPiece, width: float, unit: str, folds: int) -> bytes:
    # The lines to write on stand below the key, in a layer that is none of the piece's.
    rows = (
        "SAMPLE: fold it in paper, or cut it from a scrap of the cloth; pin, baste, press as the piece will be.",
        f"From edge to edge it is to measure {show(width, unit)}.   It measures: ______________________",
        f"Lost in all: ________________   parted by {folds} folds: ________________ lost at each fold",
        f"Thick cloth loses width at every fold. Give what each fold loses to 'pleatsvg plan' as {_LOSS}.",
        "Iron, steam, cloth, how long: ____________________________________________________",
    )
    # The outline is cut along: what the strip measures when it is folded is measured from edge to edge.
    heading = [_CUT if row == made.written.allowance_words else row for row in made.written.sheet.heading]
    sheet = replace(made.written.sheet, heading=tuple(heading))
    high = sheet.height
    taller = float(int(high + 1.6 * ROW_PITCH * len(rows)) + 1)
    written = replace(made.written, sheet=replace(sheet, height=taller, width=max(sheet.width, 250.0)))
    data = result_bytes(replace(made, written=written))
    out = [open_layer("write-down", "To write on", f' class="heading"{LETTERS}')]
    before, after = sized_stencil("heading-row", _SIZE, None)
    for k, row in enumerate(rows):
        y = high - MARGIN / 2 + 1.6 * ROW_PITCH * k
        out.append(f'{before} x="{MARGIN:g}" y="{y:.3f}">{escaped(row)}{after}')
    out.append(CLOSE)
    return data.replace(b"</svg>\n", "".join(out).encode() + b"</svg>\n")
