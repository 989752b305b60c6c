"""Results drawn by hand from closed forms, for kinds and cases of which every number can be worked out on paper.

All are rectangles 200 mm wide and 300 mm high when folded, unless said otherwise; lengths in mm, y down the page.
"""

from __future__ import annotations

from collections.abc import Iterable

Box = tuple[float, float, float, float]


def rectangle(box: Box) -> str:
    """Path data of a rectangle by left, top, right and bottom."""
    left, top, right, bottom = box
    return f"M {left},{top} L {right},{top} L {right},{bottom} L {left},{bottom} Z"


def path(name: str, data: str, **marks: object) -> str:
    """A pattern line by class, path data and data-*; underscores stand for hyphens."""
    known = {"pass": 1, **{key.rstrip("_"): value for key, value in marks.items()}}
    more = "".join(f' data-{key.replace("_", "-")}="{value}"' for key, value in known.items())
    return f'<path class="{name}" d="{data}" fill="none" stroke="#000"{more}/>'


def upright(
    name: str, x: float, pleat: int, fold: str, kind: str, lap: str, *, high: float = 300, **marks: object
) -> str:
    """An upright line of a pleat from the top, y = 0, to the hem."""
    return path(name, f"M {x},0 L {x},{high}", pleat=pleat, fold=fold, kind=kind, lap=lap, **marks)


def level(name: str, y: float, pleat: int, fold: str, kind: str, lap: str, *, wide: float, **marks: object) -> str:
    """A level line of a pleat from its left end, x = 0."""
    return path(name, f"M 0,{y} L {wide},{y}", pleat=pleat, fold=fold, kind=kind, lap=lap, **marks)


def result(lines: Iterable[str], name: str = "apron", around: str = "") -> str:
    """A result that holds one piece; `around` is a transform of the group round it."""
    inner = f'<g class="piece" data-piece="{name}">{"".join(lines)}</g>'
    if around:
        inner = f'<g transform="{around}">{inner}</g>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="400mm" viewBox="-50 -50 400 400">{inner}</svg>'
    )


def finished(box: Box, pass_: int = 1) -> str:
    """The finished shape in its hidden layer."""
    return f'<g style="display:none">{path("finished-line", rectangle(box), pass_=pass_)}</g>'


def knife(number: int = 1, shift: float = 0.0, moved: float = 0.0) -> list[str]:
    """A knife pleat that points left on x = 100, 30 deep: inner fold at 130, fold line at 160; `moved` misplaces the
    fold line."""
    about = ("knife", "left")
    return [
        upright("inner-fold-line", 130 + shift, number, "1", *about),
        upright("fold-line", 160 + shift + moved, number, "2", *about),
        upright("placement-line", 100 + shift, number, "2", *about),
    ]


def knife_result(moved: float = 0.0, node: complex = 0j, around: str = "") -> str:
    """One knife pleat; `node` moves the node of the hem at the inner fold, which lies at (130, 300)."""
    at = 130 + 300j + node
    seam = f"M 0,0 L 130,0 L 160,0 L 260,0 L 260,300 L 160,300 L {at.real},{at.imag} L 0,300 Z"
    return result([path("seam-line", seam), finished((0, 0, 200, 300)), *knife(moved=moved)], around=around)


def tuck_result(mate: float = 120) -> str:
    """A tuck 10 deep stitched on x = 100 and pressed left: stitch line and crease at 100, fold at 110, stitch at 120."""
    about = ("tuck", "left")
    return result(
        [
            path("seam-line", rectangle((0, 0, 220, 300))),
            finished((0, 0, 200, 300)),
            upright("stitch-line", 100, 1, "1", *about, crease=1),
            upright("fold-line", 110, 1, "2", *about),
            upright("stitch-line", mate, 1, "1", *about),
        ]
    )


def half_past_the_fold(hem: float = 300) -> str:
    """Half of a piece 400 wide, cut on the fold at its right: a knife pleat on x = 180, 30 deep, whose underlay runs on
    10 mm past the fold edge beneath the other half."""
    about = ("knife", "left")
    return result(
        [
            path("seam-line", f"M 0,0 L 260,0 L 260,300 L 240,300 L 210,{hem} L 0,300 Z"),
            finished((0, 0, 200, 300)),
            path("fold-edge", "M 260,0 L 260,300"),
            upright("inner-fold-line", 210, 1, "1", *about),
            upright("fold-line", 240, 1, "2", *about),
            upright("placement-line", 180, 1, "2", *about),
        ]
    )


def half_inverted(placed: bool = True) -> str:
    """Half of a piece 400 wide, cut on the fold at its left: half an inverted pleat, 30 deep, at the fold edge."""
    about = ("inverted", "both")
    lines = [
        path("seam-line", rectangle((0, 0, 260, 300))),
        finished((0, 0, 200, 300)),
        path("fold-edge", "M 0,0 L 0,300"),
        upright("inner-fold-line", 30, 1, "1", *about),
        upright("fold-line", 60, 1, "2", *about),
    ]
    return result([*lines, upright("placement-line", 0, 1, "2", *about)] if placed else lines)


def two_passes(hem: float = 320) -> str:
    """A knife pleat as in `knife` (pass 1), then a level tuck 10 deep stitched on y = 150 and pressed up (pass 2)."""
    about = ("tuck", "up")
    first = [
        line.replace("300", "320")
        for line in knife()  # they run on through the tuck
    ]
    return result(
        [
            path("seam-line", f"M 0,0 L 260,0 L 260,320 L 130,{hem} L 0,320 Z"),
            finished((0, 0, 200, 300)),
            finished((0, 0, 260, 300), pass_=2),
            *first,
            level("stitch-line", 150, 1, "1", *about, wide=260, crease=1, pass_=2),
            level("fold-line", 160, 1, "2", *about, wide=260, pass_=2),
            level("stitch-line", 170, 1, "1", *about, wide=260, pass_=2),
        ]
    )


def joined_parts(slip: float = 0.0) -> str:
    """The knife pleat of `knife` cut in two parts at its inner fold; the second lies 60 mm to the right."""
    return result(
        [
            path("seam-line", rectangle((0, 0, 130, 300))),
            path("seam-line", rectangle((190, 0, 320, 300 + slip))),
            finished((0, 0, 200, 300)),
            path("join-line", "M 130,0 L 130,300", join=1),
            path("join-line", f"M 190,0 L 190,{300 + slip}", join=1),
            upright("inner-fold-line", 130, 1, "1", "knife", "left"),
            upright("placement-line", 100, 1, "2", "knife", "left"),
            upright("inner-fold-line", 190, 1, "1", "knife", "left"),
            upright("fold-line", 220, 1, "2", "knife", "left"),
        ]
    )


def smooth_hem(told: bool = True) -> str:
    """A knife pleat whose underlay is cut 5 mm short at the inner fold, drawn as a free edge where `told`."""
    blend = "L 160,300 L 130,295 L 100,300"
    seam = path("seam-line", f"M 0,0 L 260,0 L 260,300 {blend} L 0,300 Z")
    free = [path("free-edge", "M 160,300 L 130,295 L 100,300")] if told else []
    return result([seam, finished((0, 0, 200, 300)), *knife(), *free])


def with_allowance(out: float = 0.0) -> str:
    """A knife pleat with 10 mm of allowance all round; `out` moves the flat cutting line's side. Lines run on through it."""
    about = ("knife", "left")
    return result(
        [
            path("seam-line", rectangle((0, 0, 260, 300))),
            path("cut-line", rectangle((-10, -10, 270 + out, 310))),
            f'<g style="display:none">{path("finished-cut-line", rectangle((-10, -10, 210, 310)))}</g>',
            finished((0, 0, 200, 300)),
            path("inner-fold-line", "M 130,-10 L 130,310", pleat=1, fold="1", kind=about[0], lap=about[1]),
            path("fold-line", "M 160,-10 L 160,310", pleat=1, fold="2", kind=about[0], lap=about[1]),
            path("placement-line", "M 100,-10 L 100,310", pleat=1, fold="2", kind=about[0], lap=about[1]),
        ]
    )
