"""A plan as a job file: one piece with its pleats, that `batch` takes as it stands."""

from __future__ import annotations

from pleatsvg.length import show, typed
from pleatsvg.plan.asked import counted
from pleatsvg.plan.panel import RING, Panel, closes_round, refuse_without_lap
from pleatsvg.plan.planned import Plan


def job_text(plan: Plan, drawing: str, panel: Panel | None) -> str:
    """Return the job file for a plan.

    Args:
        plan: what is to be pleated.
        drawing: the drawing's name, from the job file's folder.
        panel: where the drawing is a plain one, whose lines are drawn; None for a drawing without slash lines.

    Raises:
        RequestError: the lap is missing.
    """
    refuse_without_lap(plan)
    a, fabric = plan.asked, plan.asked.fabric
    name = drawing.rsplit("/", 1)[-1].removesuffix(".svg")
    keys: list[tuple[str, str]] = [("drawing", _text(drawing)), ("name", _text(name))]
    keys += [("kind", _text(a.kind.name)), ("intake", _length(plan.marked_intake, a.unit))]
    if a.kind.needs_lap:
        keys.append(("lap", _text(a.lap or "left")))
    if plan.face:
        keys.append(("face", _length(plan.face, a.unit)))
    if panel is None:
        places = ", ".join([_length(place, a.unit) for place in plan.places()])
        keys.append(("at", f"[{places}]"))
    if closes_round(plan):
        keys.append(("ring", _text(RING)))
    if a.waist is not None:
        keys += [("fit_waist", _length(a.waist, a.unit)), ("fit_length", _length(a.down, a.unit))]
    if fabric.allowances.typed:
        keys.append(("allowance", f"[{', '.join([_text(one) for one in fabric.allowances.typed])}]"))
    if fabric.width is not None:
        keys.append(("cloth_width", _length(fabric.width, a.unit)))
    if fabric.pieces > 1:
        keys.append(("cut", str(fabric.pieces)))
    wide, flat = show(plan.finished, a.unit), show(plan.flat, a.unit)
    rows = [
        f"# {counted(plan.count, a)} in {wide} finished, {flat} flat.",
        "# Make it with: pleatsvg batch, and the name of this file.",
    ]
    if panel is None:
        rows.append(f"# The drawing is yours to make: the finished piece, {wide} along its top.")
    rows += ["", "[[piece]]", *[f"{key} = {value}" for key, value in keys]]
    if ":" not in name:
        rows += ["", "# The folded top is held against the plan.", "[[match]]"]
        rows += [
            f"first = {_text(f'{name}: top')}",
            f"length = {_length(plan.finished if a.waist is None else a.waist, a.unit)}",
        ]
    return "\n".join([*rows, ""])


def _length(mm: float, unit: str) -> str:
    return _text(typed(mm, unit))


def _text(words: str) -> str:
    plain = words.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join([c if c.isprintable() else f"\\U{ord(c):08x}" for c in plain]) + '"'
