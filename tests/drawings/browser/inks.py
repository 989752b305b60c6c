"""Open results that are marked in part in three programs and compare how much of each ink they show.

    python -m tests.drawings.browser.inks

Lines that are folded along whole and shown in part are drawn as a stroke for what is seen; programs that cut long gaps of
dashes in their own ways lost up to a third of the red. Renders results with marks of 6 cm, released tucks and a second
pass over both, at 300 dots to the inch with librsvg, a browser and a vector editor, letters taken off. Adds up for
every ink how much of each pixel it covers, and holds the three against each other. Exit code 1 where two of them differ by
more than two in a hundred.

Needs rsvg-convert, chromium and inkscape on the path, Pillow and numpy. Run by hand: it takes some minutes.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from lxml import etree

import pleatsvg
from pleatsvg.result.classes import CLASSES, INK
from tests.drawings.browser import renders
from tests.drawings.paper import drawing, slashes
from tests.drawings.pieces import MIDDLE, SQUARE

APART = 0.02
TINTS = {name for name, row in CLASSES.items() if row.ink is not None and row.ink.filled}
"""They are no lines, and faint; left out, since the inks on them could not be told from their own."""
LEAST = 1000
"""Pixels; less than that of an ink is edges of the others, since pixels are told by their hue."""
SVG = "{http://www.w3.org/2000/svg}"

JOBS: dict[str, dict[str, object]] = {
    "marks of 6 cm": {"kind": "box", "depth": "2cm", "mark": "6cm", "allowance": "15mm"},
    "released tucks": {"kind": "tuck", "intake": "2cm", "lap": "left", "stitched": "12cm", "stitched_from": "middle"},
}
ACROSS: dict[str, object] = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["3cm"], "along": "left side"}


def ink_of(picture: Path) -> dict[str, float]:
    """Return how many pixels each ink of the classes covers, parts of pixels added up."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None
    with Image.open(picture) as opened:
        pixels = np.asarray(opened.convert("RGB"), float).reshape(-1, 3)
    taken = 255.0 - pixels[(pixels < 250).any(axis=1)]
    inks = sorted(
        {row.ink.colour for row in CLASSES.values() if row.ink is not None and not row.ink.filled} - {"#ffffff"}
    )
    ways = np.array([[255.0 - int(ink[k : k + 2], 16) for k in (1, 3, 5)] for ink in inks])
    sizes = np.linalg.norm(ways, axis=1)
    alike = taken @ (ways / sizes[:, None]).T
    nearest = np.argmax(alike, axis=1)
    return {ink: float(alike[nearest == k, k].sum() / sizes[k]) for k, ink in enumerate(inks)}


def bare(result: Path, black: bool) -> etree._ElementTree:
    """Return a result without its letters, with nothing but what is drawn in black, or all but that: its edges are grey."""
    drawing_of = etree.parse(result)
    for element in list(drawing_of.iter(f"{SVG}text", f"{SVG}path", f"{SVG}rect", f"{SVG}line")):
        if element.tag == f"{SVG}text" or element.get("class") in TINTS or (element.get("stroke") == INK) != black:
            element.getparent().remove(element)
    return drawing_of


def apart(result: Path, room: Path) -> dict[str, float]:
    """Return for each ink how far the three programs differ, as a share of the most."""
    shown: list[dict[str, float]] = []
    lines = room / "lines.svg"
    for make in (renders.by_librsvg, renders.by_browser, renders.by_editor):
        out = room / f"{make.__name__}.png"
        bare(result, True).write(lines)
        make(lines, out, room)
        black = sum(ink_of(out).values())
        bare(result, False).write(lines)
        make(lines, out, room)
        shown.append({**ink_of(out), INK: black})
    return {
        ink: 1 - min(one[ink] for one in shown) / most
        for ink in shown[0]
        if (most := max(one[ink] for one in shown)) > LEAST
    }


def main() -> int:
    """Make the results, render each three times, compare."""
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        for name, options in JOBS.items():
            first = room / "one.svg"
            (room / "piece.svg").write_text(drawing(SQUARE, slashes(MIDDLE)))
            pleatsvg.write(pleatsvg.pleat(pleatsvg.read(room / "piece.svg"), **options), first, force=True)
            both = room / "two.svg"
            pleatsvg.write(pleatsvg.pleat(pleatsvg.read(first), **ACROSS), both, force=True)
            for told, result in ((name, first), (f"{name}, and a second pass", both)):
                found = apart(result, room)
                print(f"{told}: " + ", ".join(f"{ink} {share:.1%}" for ink, share in found.items()))
                worst = max(worst, *found.values())
    print(f"{'differ' if worst > APART else 'agree'}: {worst:.1%} at most (limit {APART:.0%})")
    return 1 if worst > APART else 0


if __name__ == "__main__":
    raise SystemExit(main())
