"""Let other writers save one and the same piece; what they wrote is kept beside this file.

    python tests/drawings/written_by/make.py [writer ...]

The piece is in `piece.svg`: an apron skirt of the wardrobe room, waist and hem curved, three slash lines, a grainline.
Each writer is asked through its command line or its library (Python: matplotlib, cairocffi, svgwrite, scour, drawsvg,
reportlab, skia-python, pymupdf; npm, from ./node_modules: svgo, jsdom, d3-path, @svgdotjs/svg.js).
Run once for each new version of a writer; the tests read the files only.
"""

from __future__ import annotations

import json
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
PX = 96 / 25.4


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


def by_drawing_module(out: Path) -> None:
    """A module for making drawings, with the origin put at the middle of the page; names as titles."""
    import drawsvg

    drawing = drawsvg.Drawing(PAGE[0], PAGE[1], origin="center", id_prefix="a")
    drawing.set_render_size(f"{PAGE[0]}mm", f"{PAGE[1]}mm")
    middle = complex(*PAGE) / 2
    seam = drawsvg.Path(id="seam", fill="none", stroke="black", stroke_width=0.5)
    start = OUTLINE[0][0] - middle
    seam.M(start.real, start.imag)
    for segment in OUTLINE:
        seam.C(*[number for z in segment[1:] for number in ((z - middle).real, (z - middle).imag)])
    drawing.append(seam.Z())
    for name, ends in LINES.items():
        a, b = (z - middle for z in ends)
        line = drawsvg.Line(a.real, a.imag, b.real, b.imag, stroke="red", stroke_width=0.5)
        line.append_title(name)
        drawing.append(line)
    drawing.save_svg(str(out))


def by_report(out: Path) -> None:
    """A library for printed reports: its SVG renderer, y up and turned over by a transform.

    It states points without a unit and cuts the page to whole ones, so it is given whole ones.
    """
    from reportlab.graphics import renderSVG
    from reportlab.graphics.shapes import Drawing, Line
    from reportlab.graphics.shapes import Path as Way

    def up(z: complex) -> tuple[float, float]:
        return z.real * PT, height - z.imag * PT

    width, height = int(PAGE[0] * PT), int(PAGE[1] * PT)
    drawing = Drawing(width, height)
    seam = Way(fillColor=None)
    seam.moveTo(*up(OUTLINE[0][0]))
    for _, b, c, d in OUTLINE:
        seam.curveTo(*up(b), *up(c), *up(d))
    seam.closePath()
    drawing.add(seam)
    for a, b in LINES.values():
        drawing.add(Line(*up(a), *up(b)))
    renderSVG.drawToFile(drawing, str(out))


def by_canvas(out: Path) -> None:
    """A graphics engine of browsers: its SVG canvas, in pixels, with a matrix for each path and the page cut to whole ones."""
    import skia

    stream = skia.FILEWStream(str(out))
    canvas = skia.SVGCanvas.Make((PAGE[0] * PX, PAGE[1] * PX), stream)
    canvas.scale(PX, PX)
    pen = skia.Paint(Style=skia.Paint.kStroke_Style, StrokeWidth=0.5)
    seam = skia.Path()
    seam.moveTo(OUTLINE[0][0].real, OUTLINE[0][0].imag)
    for _, b, c, d in OUTLINE:
        seam.cubicTo(b.real, b.imag, c.real, c.imag, d.real, d.imag)
    seam.close()
    canvas.drawPath(seam, pen)
    for a, b in LINES.values():
        canvas.drawLine(a.real, a.imag, b.real, b.imag, pen)
    del canvas
    stream.flush()


def by_page_converter(out: Path) -> None:
    """A reader of page files, which gives a page back as SVG: points without a unit, every line closed, no names."""
    import pymupdf

    document = pymupdf.open()
    page = document.new_page(width=PAGE[0] * PT, height=PAGE[1] * PT)
    shape = page.new_shape()
    for segment in OUTLINE:
        shape.draw_bezier(*[pymupdf.Point(z.real * PT, z.imag * PT) for z in segment])
    shape.finish(width=1, closePath=True)
    for ends in LINES.values():
        shape.draw_line(*[pymupdf.Point(z.real * PT, z.imag * PT) for z in ends])
        shape.finish(width=1)
    shape.commit()
    out.write_text(page.get_svg_image())


def by_script(out: Path) -> None:
    """A drawing library of web pages, run without a browser: a nested drawing, data-name."""
    data = f"M{_pair(OUTLINE[0][0])}" + "".join(f"C{' '.join(map(_pair, segment[1:]))}" for segment in OUTLINE) + "Z"
    lines = "".join(
        f"g.line({a.real},{a.imag},{b.real},{b.imag}).stroke({{width:.5,color:'#000'}}).attr('data-name','{name}');"
        for name, (a, b) in LINES.items()
    )
    _node(
        "const {JSDOM} = require('jsdom'); const {SVG, registerWindow} = require('@svgdotjs/svg.js');"
        "const w = new JSDOM('').window; registerWindow(w, w.document); const d = SVG().addTo(w.document.body);"
        f"d.size('{PAGE[0] / 10}cm', '{PAGE[1] / 10}cm').viewbox(0, 0, {PAGE[0]}, {PAGE[1]});"
        "const g = d.nested().move(12, 16).attr('overflow', 'visible').group().attr('transform', 'translate(-12 -16)');"
        f"g.path('{data}').fill('none').stroke({{width: .5, color: '#000'}}).id('seam');{lines}"
        f"require('fs').writeFileSync({json.dumps(str(out))}, d.svg());"
    )


def by_chart(out: Path) -> None:
    """A charting library of web pages: its path writer and the page's own writer of elements; no viewBox, titles."""
    calls = [f"p.moveTo({_pair(OUTLINE[0][0])});"]
    calls += [f"p.bezierCurveTo({','.join(map(_pair, segment[1:]))});" for segment in OUTLINE]
    lines = [f"[{_pair(a)},{_pair(b)},'{name}']" for name, (a, b) in LINES.items()]
    _node(
        "const {pathRound} = require('d3-path'); const {JSDOM} = require('jsdom'); const p = pathRound(3);"
        f"{''.join(calls)} p.closePath(); const w = new JSDOM('').window, d = w.document;"
        "const add = (to, tag, has) => { const e = d.createElementNS('http://www.w3.org/2000/svg', tag);"
        " for (const k in has) e.setAttribute(k, has[k]); to.appendChild(e); return e; };"
        f"const s = add(d.body, 'svg', {{width: {PAGE[0] * PX}, height: {PAGE[1] * PX}}});"
        f"const g = add(s, 'g', {{transform: 'scale({PX})', fill: 'none', stroke: 'currentColor'}});"
        "add(g, 'path', {id: 'seam', d: p});"
        f"for (const [x, y, u, v, name] of [{','.join(lines)}]) {{ const q = pathRound(3); q.moveTo(x, y); q.lineTo(u, v);"
        " const h = add(g, 'g', {}); add(h, 'title', {}).textContent = name; add(h, 'path', {d: q, stroke: 'red'}); }"
        f"require('fs').writeFileSync({json.dumps(str(out))}, new w.XMLSerializer().serializeToString(s));"
    )


def _node(program: str) -> None:
    _run("node", "-e", program)


def _pair(z: complex) -> str:
    return f"{z.real},{z.imag}"


WRITERS: dict[str, Callable[[Path], None]] = {
    "editor-native": by_editor_native,
    "editor-plain": by_editor_plain,
    "optimiser": by_optimiser,
    "scrubber": by_scrubber,
    "cairo": by_cairo,
    "renderer": by_renderer,
    "plotter": by_plotter,
    "library": by_library,
    "drawing-module": by_drawing_module,
    "report": by_report,
    "canvas": by_canvas,
    "page-converter": by_page_converter,
    "script": by_script,
    "chart": by_chart,
}


def main(names: list[str]) -> None:
    """Write the files of the writers named, or of all."""
    for name in names or list(WRITERS):
        out = HERE / f"{name}.svg"
        WRITERS[name](out)
        print(f"{out.name}: {out.stat().st_size} bytes")


if __name__ == "__main__":
    main(sys.argv[1:])
