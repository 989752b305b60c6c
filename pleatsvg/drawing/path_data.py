"""Path data to segments: the only room that imports svgpathtools.

svgpathtools parses; what it passes over in silence or dies of (see DEVELOPERS.md) is caught here first. Quadratics
are raised to cubics exactly; arcs become cubics within ARC mm and live no longer than this.
"""

from __future__ import annotations

import cmath
import math
import re
import sys
from functools import lru_cache
from typing import Any, NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment
from pleatsvg.length import show_far
from pleatsvg.tolerance import ARC, FARTHEST

# svgpathtools imports scipy for path lengths and intersections, which nothing here asks of it: half of our start-up
# time. It does without when scipy cannot be had, so scipy is held back while it loads, and given back afterwards.
_HELD = [name for name in ("scipy", "scipy.integrate") if name not in sys.modules]


sys.modules.update(dict.fromkeys(_HELD))  # type: ignore[arg-type]


try:
    import svgpathtools
finally:
    for _name in _HELD:
        del sys.modules[_name]


class Subpath(NamedTuple):
    """One stroke of a path: its segments in order, whether it is closed by a command, and how many arcs it had."""

    segments: tuple[Segment, ...]
    closed: bool
    arcs: int = 0


MOST_SEGMENTS = 200_000
"""Lines and curves of a drawing, each of which takes some ten microseconds: a seam of ten thousand nodes, and thousands of
marks. An arc becomes up to 24 curves and takes as long as that."""


_LOOKS_FOR_ARC = 24


class Tally:
    """Counts the lines and curves of a drawing, so that no more of them are read than can be."""

    def __init__(self) -> None:
        self._count = 0

    def add(self, strokes: list[Subpath], said: str) -> None:
        """Count the strokes of a shape; `said` is what it is called, for the message.

        Raises:
            DrawingError: there are more than MOST_SEGMENTS.
        """
        self._count += sum([len(stroke.segments) + _LOOKS_FOR_ARC * stroke.arcs for stroke in strokes])
        if self._count > MOST_SEGMENTS:
            raise too_many(said)


def too_many(said: str) -> DrawingError:
    """Return the refusal of a drawing with too many lines and curves, up to those of a shape."""
    return DrawingError(
        "The drawing",
        f"has more than {MOST_SEGMENTS} lines and curves (up to those of {said})",
        f"up to {MOST_SEGMENTS} are read, and an arc counts for {_LOOKS_FOR_ARC}",
        "Save the piece alone, without traced pictures and fillings.",
    )


_SMALLEST_RADIUS = 1e-9


_LARGEST_NUMBER = 1e100
"""In path data, in any unit: its square and its square's square can still be reckoned with."""


_LARGEST_RADIUS = 1e8
"""mm. Beyond it an arc across a piece is straighter than a thread is thick, and its centre too far for exact floats."""


_DECIMAL = r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"


_COMMAND = re.compile(r"\s*([MmLlHhVvCcSsQqTtAaZz])", re.ASCII)


_FIRST = re.compile(r"\s*" + _DECIMAL, re.ASCII)


_NUMBER = re.compile(r"\s*,?\s*" + _DECIMAL, re.ASCII)


_FLAG = re.compile(r"\s*,?\s*([01])", re.ASCII)


_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}


def _one_number(upper: str, k: int, fresh: bool) -> re.Pattern[str]:
    # A comma may stand between numbers, not between a command and its first.
    return _FLAG if upper == "A" and k in (3, 4) else _FIRST if fresh and not k else _NUMBER


_ALL = {
    (upper, fresh): re.compile("".join([f"(?>{_one_number(upper, k, fresh).pattern})" for k in range(count)]), re.ASCII)
    for upper, count in _COUNT.items()
    for fresh in (True, False)
}
"""All numbers of a command at once; each is taken as long as it can be, so that 10 is never a 1 and a 0."""


def path_strokes(d: str, said: str, mm_per_unit: float = 1.0) -> list[Subpath]:
    """Return the strokes of a path's data, in its own units.

    Args:
        d: path data, W3C SVG 2 section 9.3 (all commands, absolute and relative, flags written together).
        said: what the element is called, for the message.
        mm_per_unit: the largest stretch from the path's units to mm, so that arcs keep within ARC mm.

    Raises:
        DrawingError: the data does not follow the grammar, or a number is not finite.
    """
    strokes: list[Subpath] = []
    for segments, words, closed, arcs in _absolute_strokes(d, said, mm_per_unit):
        if words:
            segments = []
            for piece in svgpathtools.parse_path(" ".join(words)):
                segments += _as_segments(piece, said, mm_per_unit)
        if segments:
            strokes.append(Subpath(tuple(segments), closed, arcs))
    return strokes


_Stroke = tuple[list[Segment], list[str], bool, int]
"""Its lines and cubics, its data in absolute commands where it has other curves, too, whether a command closes it, and how
many arcs it has."""


def _absolute_strokes(d: str, said: str, mm_per_unit: float) -> list[_Stroke]:
    # Going through the data here is what finds its faults.
    strokes: list[_Stroke] = []
    segments: list[Segment] = []
    words: list[str] = []
    here = start = 0j
    command = ""
    looks = arcs = 0
    position, end = 0, len(d.rstrip())
    while position < end:
        match = _COMMAND.match(d, position)
        fresh = match is not None
        if match is not None:
            command = match[1]
            position = match.end()
            if not strokes and command not in "Mm":
                raise _bad(said, d, match.start(1))
            if command in "Zz":
                if here != start:
                    segments.append((here, start))
                    if words:
                        words.append(_in_words(segments[-1]))
                strokes.append((segments, words, True, arcs))
                segments, words, here, arcs = [], [], start, 0
                continue
        elif not command or command in "Zz":
            raise _bad(said, d, position)
        upper = command.upper()
        looks += _LOOKS_FOR_ARC if upper == "A" else 1
        if looks > MOST_SEGMENTS:
            raise too_many(said)
        numbers, position = _numbers(d, position, upper, fresh, said)
        if not -_LARGEST_NUMBER <= min(numbers) <= max(numbers) <= _LARGEST_NUMBER:
            raise DrawingError(
                said,
                f"has a number beyond all bounds near '{d[max(0, position - 20) : position]}'",
                f"drawings go up to {FARTHEST / 1000:.0f} m",
                "Draw it again.",
            )
        relative = command.islower()
        base = here if relative else 0j
        if upper == "H":
            there = complex(numbers[0] + base.real, here.imag)
        elif upper == "V":
            there = complex(here.real, numbers[0] + base.imag)
        else:
            there = complex(numbers[-2], numbers[-1]) + base
        if upper == "M":
            strokes.append((segments, words, False, arcs))
            start = there
            segments, words, arcs = [], [], 0
            command = "l" if relative else "L"
        else:
            segment: Segment = (here, there)
            word = ""
            if upper == "A":
                arcs += 1
                rx, ry, rotation, large, sweep = numbers[:5]
                # Radii too small for the chord are scaled up, to half of it at least.
                _refuse_huge(max(abs(rx), abs(ry), abs(there - here) / 2 if rx and ry else 0.0) * mm_per_unit, said)
                if min(abs(rx), abs(ry)) < _SMALLEST_RADIUS * max(abs(there - here), _SMALLEST_RADIUS):
                    rx, ry = (0.0, 0.0) if not (rx and ry) else _grown(rx, ry, abs(there - here))
                    _refuse_huge(max(abs(rx), abs(ry)) * mm_per_unit, said)
                if there == here:
                    continue
                if rx and ry:  # SVG 2, 9.5.1: a radius of 0 makes a straight line
                    word = (
                        f"A{abs(rx)!r},{abs(ry)!r} {rotation!r} {large:.0f} {sweep:.0f} {there.real!r},{there.imag!r}"
                    )
            elif upper not in "HVL":
                pairs = [complex(x, y) + base for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
                if upper == "C":
                    segment = (here, *pairs)
                else:
                    word = upper + " ".join([f"{z.real!r},{z.imag!r}" for z in pairs])
            if word and not words:
                words = [f"M{start.real!r},{start.imag!r}", *map(_in_words, segments)]
            if words:
                words.append(word or _in_words(segment))
            segments.append(segment)
        here = there
    strokes.append((segments, words, False, arcs))
    return strokes


def _in_words(segment: Segment) -> str:
    # A line or a cubic as an absolute command.
    command = "L" if len(segment) == 2 else "C"
    return command + " ".join([f"{z.real!r},{z.imag!r}" for z in segment[1:]])


def _numbers(d: str, position: int, upper: str, fresh: bool, said: str) -> tuple[list[float], int]:
    # The numbers of one command, and where they end. Mostly there are as many as there should be, and one look finds them.
    match = _ALL[upper, fresh].match(d, position)
    if match is not None:
        return [*map(float, match.groups())], match.end()
    for k in range(_COUNT[upper]):
        match = _one_number(upper, k, fresh).match(d, position)
        if match is None:
            break
        position = match.end()
    raise _bad(said, d, position)


def _grown(rx: float, ry: float, chord: float) -> tuple[float, float]:
    # Radii too small for the chord are scaled up alike (SVG 2, 9.5.1); beforehand where they are next to nothing, so that
    # their squares do not vanish.
    scale = _SMALLEST_RADIUS * chord / min(abs(rx), abs(ry))
    return rx * scale, ry * scale


def _refuse_huge(radius: float, said: str) -> None:
    if not radius <= _LARGEST_RADIUS:
        raise DrawingError(
            said,
            f"has an arc with a radius of {show_far(radius)}",
            f"radii up to {_LARGEST_RADIUS / 1e6:.0f} km are read",
            "Draw that edge as a straight line or a curve.",
        )


def _bad(said: str, d: str, position: int) -> DrawingError:
    position += len(d[position:]) - len(d[position:].lstrip())
    near = d[position : position + 24].strip() or "its end"
    return DrawingError(
        said,
        f"has path data that cannot be read, at character {position + 1}: '{near}'",
        "browsers draw a line as far as its first fault, and so less than was meant",
        "Mend it there, or open the drawing in a vector editor, look at the line and save it again.",
    )


def _as_segments(piece: Any, said: str, mm_per_unit: float) -> list[Segment]:
    if isinstance(piece, svgpathtools.Line):
        return [(complex(piece.start), complex(piece.end))]
    if isinstance(piece, svgpathtools.CubicBezier):
        return [(complex(piece.start), complex(piece.control1), complex(piece.control2), complex(piece.end))]
    if isinstance(piece, svgpathtools.QuadraticBezier):
        a, b, c = complex(piece.start), complex(piece.control), complex(piece.end)
        return [(a, (a + 2 * b) / 3, (2 * b + c) / 3, c)]
    made = arc_cubics(
        complex(piece.center),
        float(piece.radius.real),
        float(piece.radius.imag),
        math.radians(float(piece.rotation)),
        math.radians(float(piece.theta)),
        math.radians(float(piece.delta)),
        said,
        mm_per_unit,
    )
    first, last = made[0], made[-1]
    made[0] = (complex(piece.start), *first[1:])
    made[-1] = (
        (*made[-1][:-1], complex(piece.end))
        if len(made) > 1
        else (complex(piece.start), *last[1:-1], complex(piece.end))
    )
    return made


def arc_cubics(
    centre: complex,
    rx: float,
    ry: float,
    rotation: float,
    theta: float,
    delta: float,
    said: str = "An arc",
    mm_per_unit: float = 1.0,
) -> list[Segment]:
    """Return an elliptical arc as cubics within ARC mm, handles 4/3 tan(angle/4) as usual.

    The error of one piece grows with radius times the sixth power of its angle; 15 degrees leave 1e-6 mm at 170 mm.

    Args:
        centre: of the ellipse, in drawing units like the radii.
        rx, ry: radii.
        rotation: of the x radius, in radians.
        theta, delta: start and sweep in radians, clockwise on the page.
        said: what the element is called, for the message.
        mm_per_unit: stretch from drawing units to mm.

    Raises:
        DrawingError: a radius is beyond all use.
    """
    radius = max(rx, ry) * mm_per_unit
    _refuse_huge(radius, said)
    widest = math.radians(15) * min(1.0, (170 * ARC / 1e-6 / radius) ** (1 / 6)) if radius else 1.0
    count = max(1, math.ceil(abs(delta) / widest - 1e-9))
    about = _about_centre if count <= _MOST_REMEMBERED else _about_centre.__wrapped__
    made: list[Segment] = []
    for first, *rest in about(rx, ry, rotation, theta, delta, count):
        made.append((made[-1][-1] if made else centre + first, *[centre + z for z in rest]))
    return made


_MOST_REMEMBERED = 100
"""Cubics of an arc that is worth remembering: drill marks and buttons are many, and alike."""


@lru_cache(maxsize=64)
def _about_centre(rx: float, ry: float, rotation: float, theta: float, delta: float, count: int) -> tuple[Segment, ...]:
    # An arc about the point 0, in so many cubics; their ends meet as far as rounding lets them.
    step = delta / count
    handle = 4 / 3 * math.tan(step / 4)
    turn = cmath.exp(1j * rotation)
    made: list[Segment] = []
    for k in range(count):
        a, b = theta + k * step, theta + (k + 1) * step
        ca, sa, cb, sb = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        unit = (
            complex(ca, sa),
            complex(ca - handle * sa, sa + handle * ca),
            complex(cb + handle * sb, sb - handle * cb),
            complex(cb, sb),
        )
        made.append(tuple([turn * complex(rx * z.real, ry * z.imag) for z in unit]))
    return tuple(made)
