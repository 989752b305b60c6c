"""Ways to spoil a drawing: in its bytes, or in its elements and attributes. All chance comes from the generator given."""

from __future__ import annotations

import copy
import gzip
import re
from collections.abc import Callable
from functools import partial
from random import Random
from typing import Any

from lxml import etree

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
MODE = "{http://www.inkscape.org/namespaces/inkscape}groupmode"

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_ODD_NUMBERS = (
    "NaN", "nan", "inf", "-Infinity", "1e999", "-1e400", "1e308", "1e30", "-1e15", "123456789", "1e7", "-1", "-0", "0",
    "1e-320", "1e-12", "0.0001", ".5.5", "1e", "--3", "+", "", "0x10", "1,5", "٣", "1e2.5", "50%", "-10%", "2em",
    "1e-5", "99999", "20", "150", "300", "1e99", "-1e160", "4e153",
)  # fmt: skip
_UNITS = ("mm", "cm", "in", "pt", "pc", "px", "Q", "%", "em", "ex", "ch", "rem", "vw", "m", "MM", " mm", "furlong", "")
_NAMES = (
    "seam", "outline", "slash", "slash 1", "slash 2", "slash_1", "grain", "grainline", "hip", "cut", "cutting line",
    "fold edge", "hem line", "balance line", "balance mark", "seam allowance", "stitching line", "SLASH", "seam seam", "all",
    "slash 1 ", "  ", "'", "\"quoted\"", "<b>", "ſlash", "séam", "s" * 400, "\u202eslash", "slash\u00a01", "\u0085seam",
    "\u009bseam", "_x0020_", "slash_x0020_9", "_x5F_", "slash_xFFFF_2", "seam_x9B_31m", "_xFFFE_", "slıp", "hİp",
    "pocket", "centre", "top", "left", "👗", "slash;slash", "&amp;",
)  # fmt: skip
_TRANSFORMS = (
    "scale(0)", "scale(1,0)", "scale(-1,1)", "scale(1e6)", "scale(1e-6)", "rotate(45)", "rotate(90 100 100)",
    "rotate(1e9)", "skewX(89.9999)", "skewY(30)", "skewX(90)", "matrix(1 2 2 4 0 0)", "matrix(0 1 1 0 0 0)",
    "matrix(1 0 0 1 1e300 0)", "matrix(1e200 0 0 1e200 0 0)", "translate(1e8,1e8)", "translate(5)",
    "translate(1 2) rotate(3) scale(1.1 .9)", "matrix(1 0 0 1)", "rotate(", "translate(NaN)", "none", "frobnicate(3)",
    "scale(.5) scale(.5) scale(.5) scale(16)", "matrix(.8 .6 -.6 .8 3 4)", "translate(10%,5%)", "rotate(0.1turn)",
    "perspective(3)", "rotate3d(1,1,0,45deg)", "matrix3d(1,0,0,0,0,1,0,0,0,0,1,0,0,0,0,1)", "scale(1e-200)",
)  # fmt: skip
_STYLES = (
    "display:none", "display:inline", "visibility:hidden", "visibility:collapse", "transform:scale(2)", "opacity:0",
    "transform:rotate(30deg) translate(3mm,4mm)", "transform-origin:center", "transform-box:fill-box;transform:scale(-1,1)",
    "rotate:30deg", "translate:3px 4px", "d:path('M0 0L10 10')", "x:30", "width:30px", "font-size:0", "font-size:1e9px",
    "zoom:2", "transform:var(--a)", "transform:calc(1px)", "display:none !important", "display", ":::", "}",
    "clip-path:url(#a)",
    "stroke:none;fill:none", "transform:translate(1em)", "offset-path:path('M0 0L9 9')", "all:unset", "r:9",
)  # fmt: skip
_SELECTORS = (
    "*", "path", "g path", "#seam", ".a", "svg > *", "path:nth-child(2)", "[id]", "[id^=sl]", ":root", "@media print",
    "@import url(x)", "line,rect", "g:not(.a)", "path::before", ":is(path)", ":has(path)", "ns|path", "{", "@font-face",
    "#slash\\ 1", "path" + " path" * 30, "",
)  # fmt: skip
_PATHS = (
    "M0 0", "", "Z", "M", "L5 5", "M0 0L", "m0 0 10 10zzz", "M1 1H", "M0 0A0 0 0 0 0 5 5", "M0 0A1 1 0 2 0 5 5",
    "M0 0a5 5 0 11 10 0", "M0 0A1e9 1e9 0 0 1 100 100", "M0 0A1e-9 1e-9 45 1 1 200 0", "M0 0T5 5T9 9", "M0 0S1 1 2 2",
    "M0 0C1 1 2 2", "M10 10L10 10L10 10Z", "M0 0L1e-13 0L0 1e-13Z", "M 20 20 C 600 20 -300 380 280 380 L 20 380 Z",
    "M20 20L280 380L280 20L20 380Z", "M0 0L1e308 1e308L-1e308 0Z", "M150 -50V600", "M20 20H280V380H20ZM50 50H90V90H50Z",
    "M-50 200H500", "M150 20V380M200 20V380", "M100 20L101 380L102 20", "M0 0Q300 0 300 300T0 300Z",
    "M20 20H280V380H20V20Z", "M20 20C100 20 100 20 280 20V380H20Z", "M0 0 foo 5 5", "M0,0,5,5,", "M0 0e5", "M 1e5 1e5 l 1 1",
    "M0 0A9 9 0 0 0 1e99 1e99", "M0 0A1e-320 1 0 0 0 5 5", "M150 20V380Z",
)  # fmt: skip
_TAGS = ("g", "svg", "symbol", "defs", "switch", "a", "clipPath", "mask", "marker", "pattern", "text", "foreignObject")
_KEYS = (
    "width", "height", "viewBox", "preserveAspectRatio", "x", "y", "x1", "x2", "y1", "y2", "cx", "r", "rx", "ry",
    "points", "d", "id", "class", "display", "visibility", "transform", "href", "data-name", "requiredFeatures",
    "systemLanguage", "xml:space", "font-size", "pathLength", "transform-origin",
)  # fmt: skip
_VALUES = (
    "0", "none", "-5", "100%", "1e99", "0 0 0 0", "0 0 300 400", "5 5 -3 9", "xMidYMid slice", "xMaxYMin", "defer xMid", "auto",
    "1 2 3", "0 0 1e-300 1e-300", "0,0,300,nan", "10mm", "hidden", "#seam", "#", "url(#x)", "data:,x", "file:///etc/hostname",
    "inherit", "preserve", "", "e" * 300, "center", "20,20 280,20 280,380 20,380",
)  # fmt: skip
_TOKENS = (
    b"<", b">", b"&", b"&#0;", b"&#x9b;", b"&amp;", b"&nbsp;", b"]]>", b"<!--", b"-->", b"<![CDATA[", b"<?xml?>", b"\x00",
    b"\xff",
    b"\xef\xbb\xbf", b"\xc3", b"'", b'"', b"/>", b"</g>", b"<g>", b"<path d='M0 0L9 9'/>", b"nan", b"e999", b"-", b".", b" ",
    b"\n", b"<!DOCTYPE svg>", b"xmlns=''", b"\xed\xa0\x80", b"1e", b"z", b"Z", b"M", b"a", b"%", b";",
)  # fmt: skip

# ------------------------------------------------------------------------------------------------------- bytes


def flip(data: bytes, chance: Random) -> bytes:
    """Up to eight bits flipped."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 8)):
        if made:
            made[chance.randrange(len(made))] ^= 1 << chance.randrange(8)
    return bytes(made)


def _span(data: bytes, chance: Random, most: int = 60) -> tuple[int, int]:
    start = chance.randint(0, len(data))
    return start, min(len(data), start + chance.randint(1, most))


def drop(data: bytes, chance: Random) -> bytes:
    """A run of bytes left out."""
    start, end = _span(data, chance)
    return data[:start] + data[end:]


def repeat(data: bytes, chance: Random) -> bytes:
    """A run of bytes said again, here or elsewhere, up to forty times."""
    start, end = _span(data, chance, 200)
    at = chance.choice((end, chance.randint(0, len(data))))
    return data[:at] + data[start:end] * chance.choice((1, 1, 2, 40)) + data[at:]


def insert(data: bytes, chance: Random) -> bytes:
    """A token, or a few random bytes, put in."""
    at = chance.randint(0, len(data))
    return data[:at] + chance.choice((chance.choice(_TOKENS), chance.randbytes(chance.randint(1, 9)))) + data[at:]


def cut_off(data: bytes, chance: Random) -> bytes:
    """The end lost."""
    return data[: chance.randint(0, len(data))]


def swap_runs(data: bytes, chance: Random) -> bytes:
    """Two runs of bytes change places."""
    a, b, c, d = sorted(chance.randint(0, len(data)) for _ in range(4))
    return data[:a] + data[c:d] + data[b:c] + data[a:b] + data[d:]


def odd_number(data: bytes, chance: Random) -> bytes:
    """One number anywhere in the file replaced."""
    found = list(re.finditer(rb"[-+]?\d+\.?\d*", data))
    if not found:
        return data
    one = chance.choice(found)
    return data[: one.start()] + chance.choice(_ODD_NUMBERS).encode() + data[one.end() :]


def wrapped_up(data: bytes, chance: Random) -> bytes:
    """Other encodings, compression, a document type, a mark of byte order."""
    way = chance.randrange(7)
    if way == 0:
        return gzip.compress(data, 1, mtime=0)
    if way == 1:
        packed = gzip.compress(data, 1, mtime=0)
        return packed[: chance.randint(1, len(packed))]
    if way == 2:
        return data.decode("utf-8", "replace").encode(chance.choice(("utf-16", "utf-16-le", "utf-8-sig", "utf-32")))
    if way == 3:
        return (
            b"<?xml version='1.0' encoding='"
            + chance.choice((b"latin-1", b"utf-16", b"ebcdic", b"", b"utf-7"))
            + b"'?>"
            + data
        )
    head = chance.choice((
        b'<!DOCTYPE svg [<!ENTITY a "slash 1"><!ENTITY b "&a;&a;">]>',
        b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]>',
        b'<!DOCTYPE svg [<!ATTLIST path transform CDATA "scale(2)">]>',
        b'<!DOCTYPE svg [<!ENTITY a "&a;">]>',
    ))  # fmt: skip
    body = re.sub(rb"<\?xml.*?\?>", b"", data, flags=re.DOTALL)
    body = re.sub(rb"<!DOCTYPE[^>]*>", b"", body)
    return head + body.replace(b"seam", b"&a;", 1) if way == 4 else head + body


BYTE_WAYS: tuple[Callable[[bytes, Random], bytes], ...] = (
    flip, drop, repeat, insert, insert, cut_off, swap_runs, odd_number, odd_number, odd_number, wrapped_up,
)  # fmt: skip

# --------------------------------------------------------------------------------------------------- structure


def _elements(root: Any) -> list[Any]:
    return [element for element in root.iter() if isinstance(element.tag, str)]


def _any(root: Any, chance: Random) -> Any:
    return chance.choice(_elements(root))


def _below(root: Any, chance: Random) -> Any | None:
    found = _elements(root)[1:]
    return chance.choice(found) if found else None


def _set(element: Any, key: str, value: str) -> None:
    # What XML cannot hold at all cannot be written by lxml; the mutations of bytes put that in.
    try:
        element.set("{http://www.w3.org/XML/1998/namespace}space" if key == "xml:space" else key, value)
    except ValueError:
        element.set("id", "odd")


def attribute_dropped(root: Any, chance: Random, others: list[Any]) -> None:
    element = _any(root, chance)
    if element.attrib:
        del element.attrib[chance.choice(sorted(element.attrib))]


def attribute_swapped(root: Any, chance: Random, others: list[Any]) -> None:
    one, other = _any(root, chance), _any(root, chance)
    keys = sorted(set(one.attrib) & set(other.attrib))
    if keys:
        key = chance.choice(keys)
        one.attrib[key], other.attrib[key] = other.attrib[key], one.attrib[key]
    elif one.attrib:
        key = chance.choice(sorted(one.attrib))
        other.attrib[key] = one.attrib.pop(key)


def attribute_set(root: Any, chance: Random, others: list[Any]) -> None:
    values = (*_VALUES, *_ODD_NUMBERS)
    _set(_any(root, chance), chance.choice(_KEYS), chance.choice(values))


def attribute_garbled(root: Any, chance: Random, others: list[Any]) -> None:
    element = _any(root, chance)
    if element.attrib:
        key = chance.choice(sorted(element.attrib))
        text = list(element.attrib[key])
        for _ in range(chance.randint(1, 4)):
            at = chance.randint(0, len(text))
            text[at : at + chance.randint(0, 2)] = chance.choice(
                ("", " ", ",", "-", ".", "e", "M", "z", "9", "é", "\n", "%", "(")
            )
        _set(element, key, "".join(text))


def number_changed(root: Any, chance: Random, others: list[Any]) -> None:
    """A number in an attribute made odd, or moved a little or a lot, so that sound drawings of other shapes come about."""
    element = _any(root, chance)
    keys = [key for key in sorted(element.attrib) if _NUMBER.search(element.attrib[key])]
    if not keys:
        return
    key = chance.choice(keys)
    value = element.attrib[key]
    one = chance.choice(list(_NUMBER.finditer(value)))
    old = float(one[0])
    new = chance.choice((
        chance.choice(_ODD_NUMBERS),
        repr(old + chance.gauss(0, 1)),
        repr(old + chance.gauss(0, 30)),
        repr(old * (1 + chance.choice((1e-12, 1e-9, 1e-6, -1e-3)))),
        repr(-old),
        repr(old * chance.choice((10, 0.1, 1000, 1e-3, 2, 0.5))),
    ))  # fmt: skip
    _set(element, key, value[: one.start()] + new + value[one.end() :])


def number_nudged(root: Any, chance: Random, others: list[Any]) -> None:
    """The numbers of one shape moved by a hair, by a little or by a lot."""
    element = _any(root, chance)
    spread = chance.choice((1e-9, 1e-6, 1e-3, 0.1, 3, 20))
    for key in ("d", "points", "x1", "y1", "x2", "y2", "transform"):
        value = element.get(key)
        if value is not None:
            share = chance.choice((0.2, 1))
            element.set(key, _NUMBER.sub(partial(_moved, chance, spread, share), value))


def _moved(chance: Random, spread: float, share: float, found: re.Match[str]) -> str:
    number = found[0]
    return f" {float(number) + chance.gauss(0, spread):.10g}" if chance.random() < share else f" {number}"


def element_moved(root: Any, chance: Random, others: list[Any]) -> None:
    one, other = _below(root, chance), _any(root, chance)
    if one is not None and other is not one and one not in other.iterancestors():
        other.insert(chance.randint(0, len(other)), one)


def element_doubled(root: Any, chance: Random, others: list[Any]) -> None:
    one = _below(root, chance)
    if one is not None:
        for _ in range(chance.choice((1, 1, 1, 5, 30))):
            one.addnext(copy.deepcopy(one))


def element_nested(root: Any, chance: Random, others: list[Any]) -> None:
    one = _below(root, chance)
    if one is None:
        return
    for _ in range(chance.choice((1, 1, 2, 60, 260))):
        around = etree.Element(
            f"{{{SVG}}}{chance.choice(_TAGS[:2])}" if chance.random() < 0.9 else f"{{{SVG}}}{chance.choice(_TAGS)}"
        )
        parent = one.getparent()
        parent.replace(one, around)
        around.append(one)
        one = around


def element_wrapped(root: Any, chance: Random, others: list[Any]) -> None:
    one = _below(root, chance)
    if one is not None:
        around = etree.Element(f"{{{chance.choice((SVG, SVG, SVG, 'urn:other'))}}}{chance.choice(_TAGS)}")
        one.getparent().replace(one, around)
        around.append(one)
        if chance.random() < 0.5:
            _set(around, chance.choice(_KEYS), chance.choice(_VALUES))


def element_left_out(root: Any, chance: Random, others: list[Any]) -> None:
    one = _below(root, chance)
    if one is not None:
        one.getparent().remove(one)


def element_renamed(root: Any, chance: Random, others: list[Any]) -> None:
    shapes = (
        "rect",
        "circle",
        "ellipse",
        "line",
        "polygon",
        "polyline",
        "path",
        "image",
        "use",
        "style",
        "title",
        "svg",
    )
    _any(root, chance).tag = f"{{{SVG}}}{chance.choice(shapes)}"


def element_from_another(root: Any, chance: Random, others: list[Any]) -> None:
    one = _below(chance.choice(others), chance)
    if one is not None:
        target = _any(root, chance)
        target.insert(chance.randint(0, len(target)), copy.deepcopy(one))


def transform_set(root: Any, chance: Random, others: list[Any]) -> None:
    _set(_any(root, chance), "transform", " ".join(chance.choice(_TRANSFORMS) for _ in range(chance.choice((1, 1, 2)))))


def unit_added(root: Any, chance: Random, others: list[Any]) -> None:
    element = chance.choice((root, _any(root, chance)))
    keys = [key for key in ("width", "height", "x", "y", "x1", "y1", "x2", "y2", "cx", "r") if key in element.attrib]
    if keys:
        key = chance.choice(keys)
        found = _NUMBER.search(element.attrib[key])
        _set(element, key, (found[0] if found else chance.choice(_ODD_NUMBERS)) + chance.choice(_UNITS))


def named(root: Any, chance: Random, others: list[Any]) -> None:
    element, name = _any(root, chance), chance.choice(_NAMES)
    way = chance.randrange(5)
    if way == 0:
        etree.SubElement(element, f"{{{SVG}}}title").text = name
    elif way == 1:
        element.set(LABEL, name)
        if chance.random() < 0.5:
            element.set(MODE, "layer")
    else:
        _set(element, ("id", "data-name", "id")[way - 2], name)


def used(root: Any, chance: Random, others: list[Any]) -> None:
    """A use of anything, of what it stands in, or of itself."""
    element, target = _any(root, chance), _any(root, chance)
    if target.get("id") is None:
        target.set("id", f"target{chance.randrange(3)}")
    for _ in range(chance.choice((1, 1, 2, 12))):
        use = etree.SubElement(element, f"{{{SVG}}}use")
        key = chance.choice(("href", f"{{{XLINK}}}href"))
        use.set(
            key, chance.choice((f"#{target.get('id')}", "#me", "#none", "other.svg#seam", "#" + target.get("id") * 2))
        )
        for name in ("x", "y", "width", "height", "transform"):
            if chance.random() < 0.3:
                use.set(name, chance.choice((*_ODD_NUMBERS, *_TRANSFORMS) if name == "transform" else _ODD_NUMBERS))
        if chance.random() < 0.3:
            use.set("id", "me")


def styled(root: Any, chance: Random, others: list[Any]) -> None:
    if chance.random() < 0.5:
        _set(_any(root, chance), "style", ";".join(chance.choice(_STYLES) for _ in range(chance.choice((1, 1, 3)))))
        return
    sheet = etree.Element(f"{{{SVG}}}style")
    rules = [f"{chance.choice(_SELECTORS)}{{{chance.choice(_STYLES)}}}" for _ in range(chance.randint(1, 4))]
    sheet.text = "".join(rules)
    root.insert(0, sheet)
    if chance.random() < 0.3:
        sheet.set(chance.choice(("media", "type")), chance.choice(("print", "text/css", "text/x", "not all")))


def path_changed(root: Any, chance: Random, others: list[Any]) -> None:
    paths = [
        element for element in _elements(root) if element.get("d") is not None or element.get("points") is not None
    ]
    if not paths:
        return
    element = chance.choice(paths)
    key = "d" if element.get("d") is not None else "points"
    old = element.get(key)
    way = chance.randrange(5)
    if way == 0:
        new = chance.choice(_PATHS)
    elif way == 1:
        new = old + chance.choice(_PATHS)
    elif way == 2:
        new = old * chance.choice((2, 2, 20))
    elif way == 3:
        letters = [m.start() for m in re.finditer("[A-Za-z]", old)] or [0]
        at = chance.choice(letters)
        new = old[:at] + chance.choice("MmLlHhVvCcSsQqTtAaZz") + old[at + 1 :]
    else:
        runs = re.findall("[A-Za-z][^A-Za-z]*", old) or [old]
        at = chance.randrange(len(runs))
        runs[at : at + 1] = chance.choice(([], [runs[at]] * 2, [chance.choice(runs)], [runs[at], "Z"], ["z", runs[at]]))
        new = "".join(runs)
    _set(element, key, new)


def shape_added(root: Any, chance: Random, others: list[Any]) -> None:
    element = etree.SubElement(_any(root, chance), f"{{{SVG}}}path")
    if chance.random() < 0.5:
        element.set("d", chance.choice(_PATHS))
    else:
        x, lean = chance.uniform(-50, 500), chance.gauss(0, 30)
        element.set("d", f"M{x:.3f} {chance.uniform(-100, 300):.3f}L{x + lean:.3f} {chance.uniform(100, 800):.3f}")
    element.set("id", chance.choice(_NAMES))


def words_added(root: Any, chance: Random, others: list[Any]) -> None:
    text = etree.SubElement(_any(root, chance), f"{{{SVG}}}text")
    text.text = chance.choice(("left front", "", " ", "<&>", "x" * 3000, "a\u0085b", "\u202e", "fold\n\nhere", "0"))
    for key in ("x", "y", "font-size", "dx", "rotate", "textLength"):
        if chance.random() < 0.5:
            text.set(key, chance.choice((*_ODD_NUMBERS, "10 20 30")))
    if chance.random() < 0.5:
        etree.SubElement(text, f"{{{SVG}}}tspan").text = "two"


TREE_WAYS: tuple[Callable[[Any, Random, list[Any]], None], ...] = (
    attribute_dropped, attribute_swapped, attribute_set, attribute_garbled, number_changed, number_changed,
    number_changed, element_moved, element_doubled, element_nested, element_wrapped, element_left_out, element_renamed,
    element_from_another, transform_set, unit_added, named, used, styled, path_changed, path_changed, shape_added,
    words_added,
)  # fmt: skip


GENTLE_WAYS: tuple[Callable[[Any, Random, list[Any]], None], ...] = (
    number_nudged, number_nudged, number_nudged, element_doubled, element_nested, words_added, shape_added, styled,
    transform_set,
)  # fmt: skip
"""Of these many drawings stay sound, so that what comes after the reading is tried as well."""


def spoilt(data: bytes, chance: Random, others: list[Any]) -> tuple[bytes, tuple[str, ...]]:
    """A drawing spoilt in one to four ways, and the names of these ways.

    Args:
        data: the drawing.
        chance: decides everything.
        others: roots of other drawings, to borrow elements from; not changed.
    """
    count = chance.choice((1, 1, 1, 2, 2, 3, 4))
    ways: list[str] = []
    by_tree, gently = chance.random() < 0.7, chance.random() < 0.4
    if by_tree:
        try:
            root = etree.fromstring(data)
        except etree.XMLSyntaxError:
            by_tree = False
        else:
            for _ in range(count):
                tree_way = chance.choice(GENTLE_WAYS if gently else TREE_WAYS)
                tree_way(root, chance, others)
                ways.append(tree_way.__name__)
            data = etree.tostring(root.getroottree())
    if not by_tree or chance.random() < 0.1:
        for _ in range(count):
            byte_way = chance.choice(BYTE_WAYS)
            data = byte_way(data, chance)
            ways.append(byte_way.__name__)
    return data, tuple(ways)
