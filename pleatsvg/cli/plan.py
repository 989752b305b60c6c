"""The command 'plan': pleat arithmetic before anything is drawn."""

from __future__ import annotations

import inspect
import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from pleatsvg.cli.options import as_typed, ended, whole_number
from pleatsvg.order.options import Option, Value
from pleatsvg.plan.options import ROWS
from pleatsvg.wording import option

if TYPE_CHECKING:
    from pleatsvg.plan.planned import Plan


def plan(**given: Any) -> None:
    """Find all figures of a row of pleats from those that you have: a waist, a cloth, an idea.

    Any sufficient set will do: a finished width with a count or a spacing, and a depth, an intake or a width of cloth;
    what is left out is found, and where several answers are sensible they stand side by side. With --draw a straight
    panel or a plain gore is drawn, with --job a job file is written: then 'batch' makes the flat piece.

    Examples:

      pleatsvg plan --body 70cm --ease 2cm --kind knife --spacing 4cm

      pleatsvg plan --finished '28 1/2in' --kind box --count 12 --cloth-width 45in --length 24in

      pleatsvg plan --finished 72cm --kind box --count 12 --length 60cm --draw panel.svg --job skirt.toml
    """
    from pleatsvg.cli.report.planned import planned_json, planned_text
    from pleatsvg.plan.asked import asked_from
    from pleatsvg.plan.cloth import refuse_too_little
    from pleatsvg.plan.solve import answered
    from pleatsvg.saying import say

    options = {
        row.name: whole_number(given[row.parameter], option(row.name))
        if row.value is Value.NUMBER
        else given[row.parameter]
        for row in ROWS
    }
    draw, job = _file(given["draw"], ".svg"), _file(given["job"], ".toml")
    answer = answered(asked_from(options))
    refuse_too_little(answer.plan)
    written = _written(answer.plan, draw, job, bool(given["force"]))
    if given["json"]:
        files = {"drawing": draw, "job": job}
        say(planned_json(answer, {name: str(file) if file else None for name, file in files.items()}, as_typed))
    else:
        say(planned_text(answer, written, as_typed))


def _file(name: str | None, ending: str) -> Path | None:
    return None if name is None else ended(Path(name), ending)


def _written(plan: Plan, draw: Path | None, job: Path | None, force: bool) -> list[str]:
    # Both files are whole before either is written; what is told of them.
    if draw is None and job is None:
        return []
    from pleatsvg.cli.options import called
    from pleatsvg.errors import RequestError
    from pleatsvg.length import typed
    from pleatsvg.plan.job_entry import job_text
    from pleatsvg.plan.panel import RING, closes_round, panel_bytes, panel_for
    from pleatsvg.saying import on_one_line
    from pleatsvg.wholefile import refuse_output, write_whole
    from pleatsvg.wording import for_shell, message

    if draw is not None and job is not None and os.path.abspath(draw) == os.path.abspath(job):  # noqa: PTH100
        raise RequestError(
            message("{} and {}", option("draw"), option("job")), "name one file", "they are two", "Give two names."
        )
    for file in (draw, job):
        if file is not None:
            refuse_output(file, force)
    panel = panel_for(plan) if draw is not None else None
    rows = [""]
    made: list[tuple[Path, bytes]] = []
    if draw is not None and panel is not None:
        made.append((draw, panel_bytes(panel)))
    if job is not None:
        drawing = draw if draw is not None else job.with_suffix(".svg")
        name = os.path.relpath(drawing.absolute(), job.absolute().parent).replace(os.sep, "/")
        made.append((job, job_text(plan, name, panel).encode(errors="replace")))
    for file, data in made:
        write_whole(file, data)
        rows.append(f"Written: {called(file)}")
    if job is not None:
        rows.append(f"Next: pleatsvg batch {on_one_line(for_shell(str(job)))}")
    elif draw is not None:
        flat = on_one_line(for_shell(str(draw.with_name(f"{draw.stem}-flat.svg"))))
        ring = f" --ring {for_shell(RING)}" if closes_round(plan) else ""
        a = plan.asked
        fit = (
            f" --fit-waist {typed(a.waist, a.unit)} --fit-length {typed(a.down, a.unit)}" if a.waist is not None else ""
        )
        rows.append(f"Next: pleatsvg pleat {on_one_line(for_shell(str(draw)))} -o {flat}{ring}{fit}")
    return rows


def _parameter(row: Option) -> inspect.Parameter:
    takes: Any = bool if row.value is Value.FLAG else list[str] | None if row.many else str | None
    default = False if row.value is Value.FLAG else None
    typed = typer.Option(row.flag, metavar=row.metavar or None, help=row.help)
    return inspect.Parameter(
        row.parameter, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=Annotated[takes, typed]
    )


def _sign() -> None:
    # The parser builds its own from a function's signature.
    signature = inspect.Signature([_parameter(row) for row in ROWS])
    vars(plan)["__signature__"] = signature
    plan.__annotations__ = {name: p.annotation for name, p in signature.parameters.items()}


_sign()
