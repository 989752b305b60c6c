"""Let other writers save one and the same piece; what they wrote is kept beside this file.

    python tests/drawings/written_by/make.py [writer ...]

The piece is in `piece.svg`: an apron skirt of the wardrobe room, waist and hem curved, three slash lines, a grainline.
Each writer is asked through its command line or its library; `svgo` is found on the path or in ./node_modules/.bin.
Run once for each new version of a writer; the tests read the files only.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).parent
PIECE = HERE / "piece.svg"

Z = complex
OUTLINE = (
    (Z(30, 40), Z(80, 52), Z(160, 52), Z(210, 40)),
    (Z(210, 40), Z(222, 120), Z(230, 200), Z(236, 280)),
    (Z(236, 280), Z(160, 296), Z(80, 296), Z(4, 280)),
    (Z(4, 280), Z(10, 200), Z(18, 120), Z(30, 40)),
)
LINES = {
    "slash 1": (Z(75, 40), Z(62, 300)),
    "slash 2": (Z(120, 40), Z(120, 300)),
    "slash 3": (Z(165, 40), Z(178, 300)),
    "grainline": (Z(140, 90), Z(140, 240)),
}
PAGE = (240.0, 320.0)
PT = 72 / 25.4


def _run(*words: str | Path) -> None:
    subprocess.run([str(word) for word in words], check=True, capture_output=True, timeout=300)


def by_editor_native(out: Path) -> None:
    """A vector editor's own format, opened and saved through its command line."""
    _run("inkscape", PIECE, "--export-type=svg", f"--export-filename={out}")


def by_editor_plain(out: Path) -> None:
    """The same editor's plain SVG."""
    _run("inkscape", PIECE, "--export-plain-svg", f"--export-filename={out}")


def by_optimiser(out: Path) -> None:
    """An optimiser from npm: names go, numbers are shortened, lines are merged."""
    local = Path("node_modules/.bin/svgo").absolute()
    _run(shutil.which("svgo") or local, "-p", "3", "-i", PIECE, "-o", out)


def by_scrubber(out: Path) -> None:
    """Another optimiser, in Python."""
    _run(sys.executable, "-m", "scour.scour", "-i", PIECE, "-o", out, "--enable-viewboxing", "--set-precision=6")


def by_cairo(out: Path) -> None:
    """A drawing library's SVG surface, in points, with a matrix of its own."""
    import cairocffi

    surface = cairocffi.SVGSurface(str(out), PAGE[0] * PT, PAGE[1] * PT)
    pen = cairocffi.Context(surface)
    pen.scale(PT, PT)
    pen.set_line_width(0.5)
    pen.move_to(OUTLINE[0][0].real, OUTLINE[0][0].imag)
    for _, b, c, d in OUTLINE:
        pen.curve_to(b.real, b.imag, c.real, c.imag, d.real, d.imag)
    pen.close_path()
    pen.stroke()
    for a, b in LINES.values():
        pen.move_to(a.real, a.imag)
        pen.line_to(b.real, b.imag)
        pen.stroke()
    surface.finish()


def by_renderer(out: Path) -> None:
    """A renderer that writes SVG again, through cairo."""
    _run("rsvg-convert", "-f", "svg", "-o", out, PIECE)


def by_plotter(out: Path) -> None:
    """A plotting library's SVG: y turned over, in points, names as group ids."""
    import matplotlib

    matplotlib.use("svg")
    matplotlib.rcParams["svg.hashsalt"] = "piece"
    from matplotlib.figure import Figure
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Way

    figure = Figure(figsize=(PAGE[0] / 25.4, PAGE[1] / 25.4))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, PAGE[0])
    axes.set_ylim(PAGE[1], 0)
    axes.axis("off")
    spots = [OUTLINE[0][0], *[z for segment in OUTLINE for z in segment[1:]], OUTLINE[0][0]]
    codes = [Way.MOVETO, *[Way.CURVE4] * (len(spots) - 2), Way.CLOSEPOLY]
    patch = PathPatch(Way([(z.real, z.imag) for z in spots], codes), fill=False)
    patch.set_gid("seam")
    axes.add_patch(patch)
    for name, (a, b) in LINES.items():
        (line,) = axes.plot([a.real, b.real], [a.imag, b.imag])
        line.set_gid(name)
    figure.savefig(out, metadata={"Date": None, "Creator": None})


def by_library(out: Path) -> None:
    """A library that writes SVG element by element."""
    import svgwrite

    drawing = svgwrite.Drawing(str(out), size=("24cm", "32cm"), viewBox="0 0 240 320")
    data = [f"M {OUTLINE[0][0].real},{OUTLINE[0][0].imag}"]
    data += [f"C {b.real},{b.imag} {c.real},{c.imag} {d.real},{d.imag}" for _, b, c, d in OUTLINE]
    group = drawing.g(id="apron", fill="none", stroke="black", stroke_width=0.5)
    group.add(drawing.path(d=" ".join([*data, "Z"]), id="seam"))
    for name, (a, b) in LINES.items():
        group.add(drawing.line((a.real, a.imag), (b.real, b.imag), id=name.replace(" ", "-")))
    drawing.add(group)
    drawing.save(pretty=True)


WRITERS: dict[str, Callable[[Path], None]] = {
    "editor-native": by_editor_native,
    "editor-plain": by_editor_plain,
    "optimiser": by_optimiser,
    "scrubber": by_scrubber,
    "cairo": by_cairo,
    "renderer": by_renderer,
    "plotter": by_plotter,
    "library": by_library,
}


def main(names: list[str]) -> None:
    """Write the files of the writers named, or of all."""
    for name in names or list(WRITERS):
        out = HERE / f"{name}.svg"
        WRITERS[name](out)
        print(f"{out.name}: {out.stat().st_size} bytes")


if __name__ == "__main__":
    main(sys.argv[1:])
