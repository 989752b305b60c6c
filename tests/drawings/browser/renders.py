"""Open a written result in three programs and compare what they make of it.

    python -m tests.drawings.browser.renders [DRAWING]

Pleats a drawing (fixtures/skirt-front.svg unless named), renders the result at 300 dots to the inch with librsvg, a
browser and a vector editor, compares the sizes of the pictures with the size that the result states, to one pixel, and
lists the layers before and after the editor has saved it. Exit code 1 on any difference. Needs rsvg-convert, chromium
and inkscape on the path.
"""

from __future__ import annotations

import math
import re
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

from lxml import etree

import pleatsvg

DPI = 300
FIXTURE = Path(__file__).parents[3] / "fixtures" / "skirt-front.svg"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"

_BROWSER = (
    "chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --hide-scrollbars --default-background-color=FFFFFFFF"
)


def _run(*words: str | Path) -> None:
    subprocess.run([str(word) for word in words], check=True, capture_output=True, timeout=300)


def by_librsvg(source: Path, out: Path, room: Path) -> None:
    """rsvg-convert."""
    _run("rsvg-convert", "-d", str(DPI), "-p", str(DPI), "-b", "white", "-o", out, source)


def by_browser(source: Path, out: Path, room: Path) -> None:
    """chromium: its screenshot of a window that the picture fills, 300/96 device pixels to a CSS pixel."""
    page = room / "page.html"
    page.write_text(
        f"<!DOCTYPE html><body style='margin:0'><img id='it' src='{source.as_uri()}'><script>addEventListener('load', "
        "function () { var b = document.getElementById('it').getBoundingClientRect(); "
        "document.title = b.width + ' ' + b.height; });</script>"
    )
    profile = f"--user-data-dir={room / 'profile'}"
    command = [*_BROWSER.split(), profile, "--dump-dom", page.as_uri()]
    said = subprocess.run(command, check=True, capture_output=True, text=True, timeout=300).stdout
    found = re.search(r"<title>([\d.]+) ([\d.]+)</title>", said)
    assert found is not None, "the browser did not say how large the picture is"
    width, height = (round(float(side), 3) for side in found.groups())
    dots = f"{width * DPI / 96:.2f} x {height * DPI / 96:.2f}"
    print(f"  the browser lays it out as {width} x {height} CSS px, {dots} px")
    window = f"{math.ceil(width)},{math.ceil(height)}"
    _run(*_BROWSER.split(), f"--force-device-scale-factor={DPI / 96}", f"--window-size={window}", profile,
         f"--screenshot={out}", page.as_uri())  # fmt: skip


def by_editor(source: Path, out: Path, room: Path) -> None:
    """inkscape: the page."""
    _run("inkscape", source, "--export-type=png", f"--export-dpi={DPI}", "--export-area-page",
         "--export-background=white", f"--export-filename={out}")  # fmt: skip


def pixels(path: Path) -> tuple[int, int]:
    """Width and height of a PNG, from its header (W3C PNG, section 11.2.2)."""
    width, height = struct.unpack(">II", path.read_bytes()[16:24])
    return int(width), int(height)


def main(words: list[str]) -> int:
    """Pleat, render three times, compare."""
    drawing = Path(words[0]) if words else FIXTURE
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        result = room / "flat.svg"
        pleatsvg.write(pleatsvg.pleat(pleatsvg.read(drawing), kind="knife", intake="60mm", lap="left"), result)
        root = etree.parse(result).getroot()
        size_mm = [float(str(root.get(name)).removesuffix("mm")) for name in ("width", "height")]
        due = [side / 25.4 * DPI for side in size_mm]
        print(f"{drawing.name}: {size_mm[0]:g} x {size_mm[1]:g} mm, at {DPI} dpi {due[0]:.1f} x {due[1]:.1f} px")
        wrong = 0
        for make in (by_librsvg, by_browser, by_editor):
            out = room / f"{make.__name__}.png"
            make(result, out, room)
            width, height = pixels(out)
            # A browser's window has whole CSS pixels, each of 300/96 dots: its picture ends at the next of them.
            limit = DPI / 96 if make is by_browser else 1
            off = max(abs(width - due[0]), abs(height - due[1]))
            wrong += off > limit
            print(f"  {make.__name__}: {width} x {height} px, {off:.2f} off")
        layers = [e.get(f"{{{INKSCAPE}}}label") for e in root.iter() if e.get(f"{{{INKSCAPE}}}groupmode") == "layer"]
        plain = room / "resaved.svg"
        _run("inkscape", result, "--export-type=svg", f"--export-filename={plain}")
        kept = [
            e.get(f"{{{INKSCAPE}}}label")
            for e in etree.parse(plain).getroot().iter()
            if isinstance(e.tag, str) and e.get(f"{{{INKSCAPE}}}groupmode") == "layer"
        ]
        print("  layers: " + "; ".join(map(str, layers)))
        print(f"  after the editor has saved it: {'all of them, in order' if kept == layers else kept}")
        wrong += kept != layers
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
