"""Open a written result in three programs and compare what they make of it.

    python -m tests.drawings.browser.renders [DRAWING]

Pleats a drawing (fixtures/skirt-front.svg unless named) and renders the result at 300 dots to the inch with librsvg, a
browser and a vector editor. Compares, to one pixel, the sizes of the pictures with the size that the result states; and
the box round all lines on each with that of the first, so that a picture of the right size with the wrong scale on it
is found (letters are taken off for that, since each program has its own way with a font). Then asks the editor for its
objects and has it save the drawing: every layer must be there, under its name and in order. Exit code 1 on any
difference.

Needs rsvg-convert, chromium and inkscape on the path, and Pillow. Run by hand: the four together take a minute.
"""

from __future__ import annotations

import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from lxml import etree

import pleatsvg

DPI = 300
FIXTURE = Path(__file__).parents[3] / "fixtures" / "skirt-front.svg"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
LABEL, MODE = f"{{{INKSCAPE}}}label", f"{{{INKSCAPE}}}groupmode"

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
    """chromium: its screenshot of a window as large as it says that the picture is.

    A window has whole CSS pixels. With 300/96 dots to each, its picture would end up to three dots late; so the picture
    is enlarged as 300 is to 96 on a page of one dot to the pixel, and the window ends at the next dot.
    """
    page = room / "page.html"
    page.write_text(
        f"<!DOCTYPE html><body style='margin:0;overflow:hidden'><img id='it' style='display:block;zoom:{DPI / 96}' "
        f"src='{source.as_uri()}'><script>addEventListener('load', "
        "function () { var b = document.getElementById('it').getBoundingClientRect(); "
        "document.title = b.width + ' ' + b.height; });</script>"
    )
    profile = f"--user-data-dir={room / 'profile'}"
    command = [*_BROWSER.split(), profile, "--dump-dom", page.as_uri()]
    said = subprocess.run(command, check=True, capture_output=True, text=True, timeout=300).stdout
    found = re.search(r"<title>([\d.]+) ([\d.]+)</title>", said)
    assert found is not None, "the browser did not say how large the picture is"
    width, height = (float(side) for side in found.groups())
    print(f"  the browser lays it out as {width:.2f} x {height:.2f} px")
    # A layout is kept to a 64th of a pixel; without that much leave, a whole number would be taken for the next.
    window = f"{math.ceil(width - 1 / 64)},{math.ceil(height - 1 / 64)}"
    _run(*_BROWSER.split(), "--force-device-scale-factor=1", f"--window-size={window}", profile, f"--screenshot={out}",
         page.as_uri())  # fmt: skip


def by_editor(source: Path, out: Path, room: Path) -> None:
    """inkscape: the page."""
    _run("inkscape", source, "--export-type=png", f"--export-dpi={DPI}", "--export-area-page",
         "--export-background=white", f"--export-filename={out}")  # fmt: skip


def measured(path: Path) -> tuple[tuple[int, int], tuple[int, ...]]:
    """Size of a picture, and the box round all that is darker than half grey on it: left, top, right, bottom; pixels."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None  # a wide skirt at 300 dpi has more than a stranger's picture may
    with Image.open(path) as picture:
        dark = picture.convert("L").point([255] * 128 + [0] * 128)
        box = dark.getbbox()
        assert box is not None, f"{path.name} is empty"
        return picture.size, tuple(box)


def layers_in(path: Path) -> list[str]:
    """The names of the layers of a drawing, in order."""
    elements = [e for e in etree.parse(path).getroot().iter() if isinstance(e.tag, str)]
    return [str(e.get(LABEL)) for e in elements if e.get(MODE) == "layer"]


def objects_of(path: Path) -> set[str]:
    """The ids of all objects that the editor finds on a drawing."""
    command = ["inkscape", str(path), "--query-all"]
    said = subprocess.run(command, check=True, capture_output=True, text=True, timeout=300).stdout
    return {row.split(",")[0] for row in said.splitlines()}


def main(words: list[str]) -> int:
    """Pleat, render three times, compare."""
    drawing = Path(words[0]) if words else FIXTURE
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        result = room / "flat.svg"
        pleatsvg.write(pleatsvg.pleat(pleatsvg.read(drawing), kind="knife", intake="60mm", lap="left"), result)
        root = etree.parse(result).getroot()
        lines = room / "lines.svg"
        bare = etree.parse(result)
        for words_on_it in list(bare.iter("{http://www.w3.org/2000/svg}text")):
            words_on_it.getparent().remove(words_on_it)
        bare.write(lines)
        size_mm = [float(str(root.get(name)).removesuffix("mm")) for name in ("width", "height")]
        due = [side / 25.4 * DPI for side in size_mm]
        print(f"{drawing.name}: {size_mm[0]:g} x {size_mm[1]:g} mm, at {DPI} dpi {due[0]:.1f} x {due[1]:.1f} px")
        wrong, first = 0, None
        for make in (by_librsvg, by_browser, by_editor):
            out = room / f"{make.__name__}.png"
            make(result, out, room)
            (width, height), _ = measured(out)
            make(lines, out, room)
            size, box = measured(out)
            assert size == (width, height)
            off = max(abs(width - due[0]), abs(height - due[1]))
            first = first or box
            apart = max(abs(a - b) for a, b in zip(box, first, strict=True))
            wrong += off > 1 or apart > 1
            print(
                f"  {make.__name__}: {width} x {height} px, {off:.2f} off; lines from {box[:2]} to {box[2:]}, {apart} off"
            )
        layers = layers_in(result)
        print("  layers: " + "; ".join(layers))
        resaved = room / "resaved.svg"
        _run("inkscape", result, "--export-type=svg", f"--export-filename={resaved}")
        kept = layers_in(resaved)
        print(f"  after the editor has saved it: {'all of them, in order' if kept == layers else kept}")
        listed = objects_of(resaved)
        groups = [e for e in etree.parse(resaved).getroot().iter() if e.get(MODE) == "layer"]
        unknown = [e.get(LABEL) for e in groups if e.get("id") not in listed]
        print(f"  among the objects that it lists: {'all of them' if not unknown else f'not {unknown}'}")
        wrong += kept != layers or bool(unknown) or not layers
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
