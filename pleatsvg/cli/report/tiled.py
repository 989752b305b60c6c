"""What `tile` prints: in plain words for the person, as JSON for another program (lengths in mm)."""

from __future__ import annotations

import json
import math
from typing import Any

from pleatsvg.errors import RequestError
from pleatsvg.geometry.motion import bearing
from pleatsvg.order.options import on_command_line
from pleatsvg.printing.tiled import Tiled
from pleatsvg.tolerance import PRINTED
from pleatsvg.wording import shown


def only_file(tiled: Tiled) -> bytes:
    """Return the bytes of the one file.

    Raises:
        RequestError: there are several.
    """
    if len(tiled.files) > 1:
        raise RequestError(
            "Standard output",
            f"cannot take {len(tiled.files)} pages of SVG",
            "each is a file of its own",
            "Give a folder, or print a PDF.",
        )
    return tiled.files[0][1]


def tiled_text(tiled: Tiled, output: str) -> str:
    """Return what was laid out, in plain words."""
    paper = tiled.order.paper
    rows: list[str] = []
    for group in tiled.groups:
        grid = group.grid
        count = len(grid.windows)
        blank = grid.rows * grid.columns - count
        turned = "as drawn" if grid.degrees == 0 else f"turned {grid.degrees:g} degrees"
        left_out = f"; {blank} blank left out" if blank else ""
        pages = "1 page" if count == 1 else f"{count} pages"
        rows.append(
            f"{group.name}: {pages} on {paper.name}, {turned}, {grid.columns} across and {grid.rows} down{left_out}"
        )
    if not tiled.groups:
        page = tiled.document.pages[0]
        rows.append(f"{tiled.document.title}: one page of {page.width:.0f} x {page.height:.0f} mm")
    remarks = tiled.order.asked.remarks
    if remarks:
        rows.append(f"  {'; '.join(remarks)}")
    if not tiled.document.pages[0].placed:
        rows.append("  print the first page first, alone: measure the 50 mm square and both bars before the others")
    miss = f"{max(tiled.worst, 1e-6):.6f} mm (limit {PRINTED} mm)"
    rows.append(f"  lines read back from the pages and laid together: largest miss {miss}; they fold true")
    rows += [f"  note: {shown(note, on_command_line)}" for note in tiled.notes]
    whole = len(tiled.document.pages)
    rows.append(f"Written: {output} ({'1 page' if whole == 1 else f'{whole} pages'}; print at actual size)")
    return "\n".join(rows)


def tiled_json(tiled: Tiled, output: str) -> str:
    """Return what was laid out as JSON, lengths in mm."""
    names = [", ".join(body.shown.names) or body.shown.source for body in tiled.document.bodies]
    pages: list[dict[str, Any]] = []
    for page in tiled.document.pages:
        pages.append(
            {
                "name": page.name,
                "width_mm": page.width,
                "height_mm": page.height,
                "pieces": [
                    {
                        "piece": names[one.body],
                        "turn_degrees": math.degrees(bearing(one.turn)),
                        "x_mm": one.shift.real,
                        "y_mm": one.shift.imag,
                        "window_mm": list(one.clip),
                    }
                    for one in page.placed
                ],
            }
        )
    data = {
        "output": output,
        "paper": tiled.order.paper.name,
        "scale": tiled.order.asked.scale,
        "mirrored": tiled.order.asked.mirror,
        "worst_mm": tiled.worst,
        "pages": pages,
        "notes": [shown(note, on_command_line) for note in tiled.notes],
    }
    return json.dumps(data, indent=2, ensure_ascii=False)
