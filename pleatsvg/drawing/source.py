"""From a file to the root of a drawing, with bounds: strangers' files are read, never obeyed.

No entity is expanded from outside, no link is followed, nothing is fetched. What is larger, deeper or more than a
drawing of a piece can be is refused in one sentence that names the limit.
"""

from __future__ import annotations

import errno
import re
import stat
import zlib
from pathlib import Path

from lxml import etree

from pleatsvg.drawing.names import SVG
from pleatsvg.errors import DrawingError

LARGEST_FILE = 64 * 2**20
"""Bytes, as stored and unpacked. A drawing of one piece has some thousands; sixty-four million are a picture."""


MOST_TAGS = 40_000
"""A shape takes us about a tenth of a millisecond; a wardrobe of pieces with all its marks has some thousands."""


LONGEST_VALUE = 1_500_000
"""Letters of all long values together, but for lines and curves, which are counted themselves: a style has some hundreds."""


_REMEDY = "Save the drawing as SVG from a vector editor."


_NOT_THERE = frozenset({errno.ENOENT, errno.ENOTDIR, errno.EBADF, errno.ELOOP})
"""As `Path.exists` has it."""


_GZIP = b"\x1f\x8b"


_ROOT = f"{{{SVG}}}svg"


_PARSER = etree.XMLParser(
    resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False, recover=False
)


def bytes_of(file: Path) -> bytes:
    """Return a drawing's bytes, unpacked if it is an .svgz.

    Raises:
        DrawingError: it is not there, not a file, not to be read, or larger than LARGEST_FILE.
    """
    said = f"'{file.name or file}'"
    try:
        found = file.stat()
        if not stat.S_ISREG(found.st_mode):
            raise DrawingError(said, "is not a file", "a drawing is an SVG file", "Give the drawing itself.")
        if found.st_size > LARGEST_FILE:
            raise _too_large(said, f"holds {found.st_size / 2**20:.0f} million bytes")
        data = file.read_bytes()
    except (OSError, ValueError) as error:
        if not isinstance(error, OSError) or error.errno in _NOT_THERE:  # no file has a name with a character 0
            raise DrawingError(said, "is not there", "", "Check the name and the folder.") from None
        raise DrawingError(
            said, f"cannot be read ({error.strerror or error})", "", "Check the file and its permissions."
        ) from None
    return _unpacked(data, said) if data[:2] == _GZIP else data


def _too_large(said: str, measured: str) -> DrawingError:
    limit = f"drawings of up to {LARGEST_FILE // 2**20} million bytes are read"
    return DrawingError(said, measured, limit, "Leave out pictures, and save the piece alone.")


def _unpacked(data: bytes, said: str) -> bytes:
    unpacker = zlib.decompressobj(wbits=31)
    try:
        unpacked = unpacker.decompress(data, LARGEST_FILE + 1)
    except zlib.error:
        raise DrawingError(said, "is packed, but cannot be unpacked", "an .svgz is a gzip file", _REMEDY) from None
    if len(unpacked) > LARGEST_FILE:
        raise _too_large(said, f"unpacks to more than {LARGEST_FILE // 2**20} million bytes")
    if not unpacker.eof:
        raise DrawingError(said, "is packed, but ends too soon", "an .svgz is a gzip file", _REMEDY)
    return unpacked


def root_of(data: bytes, source: str) -> tuple[etree._Element, list[str]]:
    """Return the root element of a drawing, and remarks.

    Args:
        data: the bytes of the file, in UTF-8, UTF-16 or any encoding that it declares.
        source: its name, for messages.

    Raises:
        DrawingError: it is empty, is no SVG, or holds more than MOST_TAGS tags.
    """
    said = f"'{source}'"
    if not data or data.isspace():
        raise DrawingError(said, "is empty", "a drawing is an SVG file", _REMEDY)
    tags = data.count(b"<")
    if tags > MOST_TAGS:
        raise DrawingError(
            said,
            f"holds {tags} tags",
            f"drawings of up to {MOST_TAGS} are read",
            "Save the piece alone, without pictures and fillings.",
        )
    data = _without_pictures(data)
    try:
        root = etree.fromstring(data, _PARSER)
    except (etree.XMLSyntaxError, ValueError) as error:
        where = f" at line {error.lineno}" if isinstance(error, etree.XMLSyntaxError) and error.lineno else ""
        reason = _plain(str(error))
        raise DrawingError(
            said,
            f"is not SVG, or not whole: reading stopped{where}{f' ({reason})' if reason else ''}",
            "a drawing is an SVG file",
            _REMEDY,
        ) from None
    has_entities = root.getroottree().docinfo.internalDTD is not None  # they may make much of little
    if len(data) > LONGEST_VALUE or has_entities:
        _refuse_long_values(root, said, has_entities)
    if etree.QName(root).localname != "svg":
        tag = str(root.tag)
        raise DrawingError(said, f"is not SVG: it begins as '{tag[:60]}'", "a drawing begins as 'svg'", _REMEDY)
    wrong = _wrong_spaces(root)
    if not wrong:
        return root, []
    _rename(root, wrong)
    return root, [
        "The drawing does not say that it is SVG (its namespace is missing or wrong); it was read as if it did."
    ]


_EMBEDDED = re.compile(
    rb"href\s*+=\s*+(?:\"\s*+data:(?P<double>[^\"<]*+)\"|'\s*+data:(?P<single>[^'<]*+)')"
    rb"|data:(?:[\w.+-]++/[\w.+-]++)?(?:;[\w.+=-]++)*+,"
    rb"(?P<bare>(?:[\w\s+/=%.~!*,:@$?#;|\[\]{}-]++|&\#(?:9|10|13|x0*+(?:9|a|d));)*+)",
    re.IGNORECASE,
)
"""Data that an address itself holds (RFC 2397), pictures and fonts: a whole attribute, or elsewhere, as in a style sheet, up
to the quote, bracket or entity that ends it."""


_LEAST_EMBEDDED = 200
"""Letters that are worth taking out."""


_WIDE = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"<\0": "utf-16-le", b"\0<": "utf-16-be"}
"""How files of two bytes to the letter begin, and their encoding."""


def _without_pictures(data: bytes) -> bytes:
    # Pictures are left out, so what they hold is taken out before the parser meets its own limit of ten million letters.
    if len(data) > LONGEST_VALUE and data[:2] in _WIDE:
        data = _narrowed(data, _WIDE[data[:2]])
    if b"data:" in data or b"DATA:" in data:
        data = _EMBEDDED.sub(_emptied, data)
    return data


def _emptied(match: re.Match[bytes]) -> bytes:
    # Line breaks stay, since messages tell lines.
    held = next(name for name in ("double", "single", "bare") if match[name] is not None)
    if len(match[held]) < _LEAST_EMBEDDED:
        return match[0]
    before, after = match[0][: match.start(held) - match.start()], match[0][match.end(held) - match.start() :]
    return before + b"\n" * match[held].count(b"\n") + after


def _narrowed(data: bytes, encoding: str) -> bytes:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        return data  # as the parser will say
    return re.sub(r"^(<\?xml[^>]*?)\s+encoding\s*=\s*(?:\"[^\"]*\"|'[^']*')", r"\1", text, count=1).encode()


_COUNTED = frozenset({"d", "points"})
"""Attributes whose lines and curves are counted as they are read."""


def _refuse_long_values(root: etree._Element, said: str, lines_too: bool) -> None:
    total = 0
    for element in root.iter(etree.Element):
        for name, value in element.items():
            if len(value) > 1_000 and (lines_too or name not in _COUNTED):
                total += len(value)
            if total > LONGEST_VALUE:
                raise DrawingError(
                    said,
                    f"has values of more than {LONGEST_VALUE} letters ('{str(name)[:40]}' in line {element.sourceline})",
                    f"up to {LONGEST_VALUE} are read",
                    "Simplify the line in the vector editor, and leave out pictures.",
                )


_PLAIN_REASONS = (
    ("amplification", "its entities grow beyond all bounds"),
    ("Excessive depth", "its groups stand more than 256 deep in one another"),
    ("limit exceeded", "one text or value in it is longer than ten million letters"),
    ("huge", "one text or value in it is longer than ten million letters"),
    ("bytes in character encoding", "its letters are not in the encoding that it states"),
    ("not proper UTF-8", "its letters are not in the encoding that it states"),
)


def _plain(reason: str) -> str:
    return next((plain for word, plain in _PLAIN_REASONS if word in reason), "")


_DRAWN = frozenset(["g", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text", "use"])


def _wrong_spaces(root: etree._Element) -> set[str | None]:
    # The namespaces that stand for that of SVG: the root's, and where nothing drawn has the right one, that of what is drawn
    # ("<svg:svg><path/>": the prefix is declared, but not used).
    wrong: set[str | None] = set() if root.tag == _ROOT else {etree.QName(root).namespace}
    if next(root.iterdescendants(f"{{{SVG}}}*"), None) is None:
        names = [etree.QName(element) for element in root.iterdescendants(etree.Element)]
        wrong |= {name.namespace for name in names if name.localname in _DRAWN}
    return wrong


def _rename(root: etree._Element, spaces: set[str | None]) -> None:
    for element in root.iter(etree.Element):
        name = etree.QName(element)
        if name.namespace in spaces:
            element.tag = f"{{{SVG}}}{name.localname}"
