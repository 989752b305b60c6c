"""Where two segments of one plane cross each other: shares on both, for trimming parallels of the seam."""

from __future__ import annotations

from pleatsvg.geometry.segment import Segment, box_of, halves, heights, point_at, sign_changes
from pleatsvg.tolerance import NOISE, ON_LINE

_FLAT = 1e-4
"""mm. So straight, a part of a curve is first taken for its chord; Newton's method then goes on from there."""


_DEEPEST = 48


_SHALLOWEST = 1e-5
"""The sine of the angle below which two curves run along one another."""


def meetings(a: Segment, b: Segment) -> list[tuple[float, float]]:
    """Return the (share on a, share on b) at which two segments cross, in order on `a`; end points count.

    Segments that lie on one another have no crossing.
    """
    if not _boxes_touch(a, b):
        return []
    if len(a) == 2:
        return _on_line(a, b)
    if len(b) == 2:
        return sorted([(t, u) for u, t in _on_line(b, a)])
    found: list[tuple[float, float]] = []
    _search(a, b, (0.0, 1.0), (0.0, 1.0), a, b, found, 0)
    found.sort()
    kept: list[tuple[float, float]] = []
    for t, u in found:
        if not kept or abs(t - kept[-1][0]) > 1e-7 or abs(u - kept[-1][1]) > 1e-7:
            kept.append((t, u))
    return kept


def _boxes_touch(a: Segment, b: Segment) -> bool:
    left_a, top_a, right_a, bottom_a = box_of(a)
    left_b, top_b, right_b, bottom_b = box_of(b)
    return (
        left_a <= right_b + NOISE
        and left_b <= right_a + NOISE
        and top_a <= bottom_b + NOISE
        and top_b <= bottom_a + NOISE
    )


def _on_line(line: Segment, other: Segment) -> list[tuple[float, float]]:
    # Exact: the roots of the other's height over the line, at which its place along the line is on the segment.
    way = line[1] - line[0]
    length = abs(way)
    if length < NOISE:
        return []
    along = way / length
    w = [0.0 if abs(h) < NOISE else h for h in heights(other, line[0], along)]
    if not any(w):
        return []
    shares = sign_changes(w)
    shares += [end for end, h in ((0.0, w[0]), (1.0, w[-1])) if h == 0]
    found: list[tuple[float, float]] = []
    for u in shares:
        t = ((point_at(other, u) - line[0]) * along.conjugate()).real / length
        if -ON_LINE / length <= t <= 1 + ON_LINE / length:
            found.append((min(1.0, max(0.0, t)), u))
    return sorted(found)


def _search(
    a: Segment,
    b: Segment,
    on_a: tuple[float, float],
    on_b: tuple[float, float],
    whole_a: Segment,
    whole_b: Segment,
    found: list[tuple[float, float]],
    depth: int,
) -> None:
    if not _boxes_touch(a, b) or len(found) > 16:
        return
    flat_a, flat_b = _is_flat(a), _is_flat(b)
    if (flat_a and flat_b) or depth > _DEEPEST:
        spot = _chords(a, b)
        if spot is not None:
            t = on_a[0] + spot[0] * (on_a[1] - on_a[0])
            u = on_b[0] + spot[1] * (on_b[1] - on_b[0])
            refined = _refined(whole_a, whole_b, t, u)
            if refined is not None:
                found.append(refined)
        return
    middle_a, middle_b = (on_a[0] + on_a[1]) / 2, (on_b[0] + on_b[1]) / 2
    parts_a = (a,) if flat_a else halves(a)
    parts_b = (b,) if flat_b else halves(b)
    spans_a = (on_a,) if flat_a else ((on_a[0], middle_a), (middle_a, on_a[1]))
    spans_b = (on_b,) if flat_b else ((on_b[0], middle_b), (middle_b, on_b[1]))
    for p, span_p in zip(parts_a, spans_a, strict=True):
        for q, span_q in zip(parts_b, spans_b, strict=True):
            _search(p, q, span_p, span_q, whole_a, whole_b, found, depth + 1)


def _is_flat(seg: Segment) -> bool:
    if len(seg) == 2:
        return True
    a, b, c, d = seg
    return abs(b - (2 * a + d) / 3) < _FLAT and abs(c - (a + 2 * d) / 3) < _FLAT


def _chords(a: Segment, b: Segment) -> tuple[float, float] | None:
    r, s, w = a[-1] - a[0], b[-1] - b[0], b[0] - a[0]
    det = (r.conjugate() * s).imag
    if abs(det) < 1e-15:
        return None
    t, u = (w.conjugate() * s).imag / det, (w.conjugate() * r).imag / det
    # The flatter the angle at which they cross, the farther off the chords may do so.
    long_a, long_b = abs(r), abs(s)
    slack = 2 * _FLAT * max(1.0, long_a * long_b / max(abs(det), _SHALLOWEST * long_a * long_b))
    slack_a, slack_b = slack / max(long_a, _FLAT), slack / max(long_b, _FLAT)
    if -slack_a <= t <= 1 + slack_a and -slack_b <= u <= 1 + slack_b:
        return min(1.0, max(0.0, t)), min(1.0, max(0.0, u))
    return None


def _refined(a: Segment, b: Segment, t: float, u: float) -> tuple[float, float] | None:
    for _ in range(12):
        miss = point_at(b, u) - point_at(a, t)
        if abs(miss) < 1e-10:
            break
        r, s = _speed(a, t), _speed(b, u)
        det = (r.conjugate() * s).imag
        if abs(det) < 1e-18:
            break
        # a(t) + dt r = b(u) + du s
        dt, du = (miss.conjugate() * s).imag / det, (miss.conjugate() * r).imag / det
        t, u = min(1.0, max(0.0, t + dt)), min(1.0, max(0.0, u + du))
    return (t, u) if abs(point_at(b, u) - point_at(a, t)) < ON_LINE else None


def _speed(seg: Segment, t: float) -> complex:
    if len(seg) == 2:
        return seg[1] - seg[0]
    a, b, c, d = seg
    s = 1 - t
    return 3 * (s * s * (b - a) + 2 * s * t * (c - b) + t * t * (d - c))
