"""Broken and hostile drawings: each is refused in one paragraph, within bounds of time and memory, and nothing is written.

Every input is built here. What may be read though it holds something hostile (links, scripts) is read without it.
"""

from __future__ import annotations

import gzip
import os
import re
import signal
import socket
import subprocess
import sys
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType

import pytest
from lxml import etree

import pleatsvg
from pleatsvg.drawing.source import LARGEST_FILE, MOST_TAGS
from pleatsvg.drawing.walk import DEEPEST_USE, MOST_USED
from pleatsvg.errors import DrawingError, PleatError
from tests.commandline.terminal import DRAWING, Outcome, assert_refused

ROOT = b'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
XLINKED = ROOT.replace(b"<svg ", b'<svg xmlns:xlink="http://www.w3.org/1999/xlink" ')
SEAM = b'<path id="seam" d="M20 20H280V380H20Z"/>'
SLASH = b'<path id="slash 1" d="M150 20V380"/>'
PIECE = SEAM + SLASH
END = b"</svg>"
SECONDS = 5
MEGABYTES = 500


def whole(*inside: bytes) -> bytes:
    return ROOT + b"".join(inside) + END


@pytest.fixture(autouse=True)
def bounded() -> Iterator[None]:
    """Break a test off when it takes longer than any drawing may."""

    def over(number: int, frame: FrameType | None) -> None:
        raise TimeoutError(f"took longer than {SECONDS} s")

    before = signal.signal(signal.SIGALRM, over)
    signal.alarm(SECONDS)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


def job(path: Path) -> None:
    """The whole main job on a drawing, to flat.svg beside it."""
    result = pleatsvg.pleat(pleatsvg.read(path), kind="knife", intake="20mm", lap="left")
    pleatsvg.write(result, path.parent / "flat.svg")


def refused(path: Path) -> str:
    """The message with which a drawing is refused; nothing may have been written."""
    before = sorted(path.parent.iterdir())
    with pytest.raises(PleatError) as caught:
        job(path)
    message = str(caught.value)
    assert sorted(path.parent.iterdir()) == before
    assert len(message) < 700
    assert "\n" not in message
    assert message.endswith(".")
    assert "Traceback" not in message
    assert "Error" not in message
    return message


def saved(folder: Path, data: bytes) -> Path:
    path = folder / "strange.svg"
    path.write_bytes(data)
    return path


# ---------------------------------------------------------------------------- what searching at random has found


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        (b'<path id="seam" d="M20 20A9e99 9e99 0 0 1 280 20V380H20Z"/>', "radius of more than 1000 km"),
        (b'<path id="seam" d="M20 20H1e12V380H20Z"/>', "reaches more than 1000 km"),
        (b'<path d="M0 0L1e308 1e308L-1e308 0Z"/>', "beyond all bounds"),
        (b'<path d="M0 0A9 9 0 0 0 1e308 1e308"/>', "beyond all bounds"),
        (b'<path d="M0 0A9 9 0 0 0 1e99 1e99"/>', "radius of more than 1000 km"),
        (b'<path d="M0 0A1e-320 1 0 0 0 5 5"/>', "radius of more than 1000 km"),
        (b'<polygon points="0 0 1e308 1e308 -1e308 0"/>', "reaches more than 1000 km"),
        (b'<path id="seam" d="M20 20H123456789V380H20Z"/>', "reaches 123.5 km"),
        (b'<path id="seam" d="M20 20H280V380H20Z" transform="translate(1&#10;2"/>', "'translate(1 2'"),
        ('<path id="seam" d="M20 20H280V380H20Z" transform="scale\u009b31m(2)"/>'.encode(), "'scale\ufffd31m(2)'"),
        ('<path id="seam\u009b" d="M20 20H"/>'.encode(), "'seam' has path data"),
    ],
)
def test_what_is_quoted_is_shown_in_plain_words_on_one_line(inside: bytes, said: str, tmp_path: Path) -> None:
    assert said in refused(saved(tmp_path, whole(inside)))


@pytest.mark.parametrize("name", ["slash_xFFFF_2", "slash_xFFFE_2", "ſlash", "slıp", "slash_x9B_31m"])
def test_names_of_strange_letters_go_through(name: str, tmp_path: Path) -> None:
    job(saved(tmp_path, whole(PIECE, f'<path id="{name}" d="M80 20V380"/>'.encode())))
    written = (tmp_path / "flat.svg").read_text()
    assert etree.fromstring(written.encode()) is not None
    assert not any(0x7F <= ord(ch) < 0xA0 for ch in written)


# ---------------------------------------------------------------------------------------------- entities


def _lol(inside: bytes) -> bytes:
    made = [b'<!ENTITY l0 "' + b"z" * 100 + b'">']
    made += [b'<!ENTITY l%d "' % k + b"&l%d;" % (k - 1) * 10 + b'">' for k in range(1, 10)]
    return b"<!DOCTYPE svg [" + b"".join(made) + b"]>" + whole(PIECE, inside)


def test_entity_bomb_in_an_attribute(tmp_path: Path) -> None:
    assert "not SVG" in refused(saved(tmp_path, _lol(b'<g id="&l9;"/>')))


def test_entity_bomb_in_text_stays_unexpanded(tmp_path: Path) -> None:
    path = saved(tmp_path, _lol(b'<text x="40" y="60">&l9;</text>'))
    try:
        job(path)
    except PleatError as error:
        assert "not SVG" in str(error)
    else:
        assert (tmp_path / "flat.svg").stat().st_size < 100_000


def test_many_attributes_by_default_from_a_document_type(tmp_path: Path) -> None:
    bomb = b'<!DOCTYPE svg [<!ATTLIST g fill CDATA "' + b"x" * 9000 + b'">]>' + whole(PIECE, b"<g/>" * 100_000)
    refused(saved(tmp_path, bomb))


def test_external_entity_is_never_read(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("the takings of the evening")
    start = b'<!DOCTYPE svg [<!ENTITY x SYSTEM "' + secret.as_uri().encode() + b'">]>'
    path = saved(tmp_path, start + whole(PIECE, b'<text x="40" y="60">&x;.</text>'))
    try:
        job(path)
    except PleatError as error:
        assert "takings" not in str(error)
    else:
        assert b"takings" not in (tmp_path / "flat.svg").read_bytes()
    in_attribute = tmp_path / "attribute.svg"
    in_attribute.write_bytes(start + whole(PIECE, b'<g id="&x;"/>'))
    (tmp_path / "flat.svg").unlink(missing_ok=True)
    assert "takings" not in refused(in_attribute)


def test_harmless_entities_of_editors_are_expanded(tmp_path: Path) -> None:
    start = b'<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg"><!ENTITY look "fill:none">]>'
    job(
        saved(
            tmp_path,
            start
            + ROOT.replace(b"http://www.w3.org/2000/svg", b"&ns;")
            + b'<g style="&look;">'
            + PIECE
            + b"</g></svg>",
        )
    )


# ------------------------------------------------------------------------------------------ uses and links


def test_use_loop(tmp_path: Path) -> None:
    message = refused(saved(tmp_path, whole(PIECE, b'<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>')))
    assert "uses itself" in message
    assert "uses itself" in refused(saved(tmp_path, whole(PIECE, b'<use id="me" href="#me"/>')))
    assert "uses itself" in refused(saved(tmp_path, whole(PIECE, b'<g id="a"><use href="#a"/></g>')))


def test_exponential_use(tmp_path: Path) -> None:
    levels = [b'<g id="a%d">' % k + b'<use href="#a%d"/>' % (k + 1) * 10 + b"</g>" for k in range(8)]
    bomb = whole(b"<defs>", *levels, b'<path id="a8" d="M1 1h3v3z"/></defs><use href="#a0"/>', PIECE)
    assert str(MOST_USED) in refused(saved(tmp_path, bomb))


def test_chain_of_uses(tmp_path: Path) -> None:
    chain = [b'<g id="a%d"><use href="#a%d"/></g>' % (k, k + 1) for k in range(60)]
    bomb = whole(b"<defs>", *chain, b'</defs><use href="#a0"/>', PIECE)
    assert str(DEEPEST_USE) in refused(saved(tmp_path, bomb))


def test_uses_deep_within_groups(tmp_path: Path) -> None:
    deep = [b'<g id="a%d">' % k + b"<g>" * 200 + b'<use href="#a%d"/>' % (k + 1) + b"</g>" * 201 for k in range(10)]
    assert "copies 12 deep in one another" in refused(saved(tmp_path, whole(*deep, PIECE)))


def test_uses_of_one_large_thing(tmp_path: Path) -> None:
    large = b'<path id="big" d="M10 10' + b"L9 9 8 7" * 20_000 + b'"/>'
    message = refused(saved(tmp_path, whole(large, b'<use href="#big"/>' * 5_000, PIECE)))
    assert message.startswith("'big' brings in more than 30000 elements through 'use'")


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    """A server on this machine that no one may call."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)
        yield server


def test_links_are_never_opened(listener: socket.socket, tmp_path: Path) -> None:
    there = b"http://127.0.0.1:%d/" % listener.getsockname()[1]
    other = tmp_path / "other.svg"
    other.write_bytes(whole(b'<path id="seam" d="M0 0H9V9H0Z"/>'))
    data = (
        b'<?xml version="1.0"?><?xml-stylesheet href="' + there + b'a.css"?>'
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "' + there + b'svg11.dtd">'
        + XLINKED
        + b'<style>@import url("' + there + b'b.css"); @font-face { font-family: a; src: url(' + there + b'f.woff) }</style>'
        b'<image xlink:href="' + there + b'i.png" width="9" height="9"/><use href="' + there + b'o.svg#a"/>'
        b'<use href="other.svg#seam"/><use xlink:href="' + other.as_uri().encode() + b'#seam"/>'
        b'<script xlink:href="' + there + b's.js"/><include xmlns="http://www.w3.org/2001/XInclude" href="' + there + b'"/>'
        + PIECE
        + END
    )  # fmt: skip
    path = saved(tmp_path, data)
    piece = pleatsvg.read(path)
    assert piece.outline.area == pytest.approx(260 * 360)
    assert sum("link" in thing for thing in piece.left_out) == 5
    job(path)
    with pytest.raises(BlockingIOError):
        listener.accept()
    assert b"127.0.0.1" not in (tmp_path / "flat.svg").read_bytes()


# ------------------------------------------------------------------------------------------- size and depth


def _bomb() -> bytes:
    """Eighty million spaces, packed a million at a time; flushed after each, so that all but the first are packed alike."""
    packer, block = zlib.compressobj(9, wbits=31), b" " * 2**20
    first, other = (packer.compress(block) + packer.flush(zlib.Z_FULL_FLUSH) for _ in range(2))
    return first + 79 * other


BOMB = _bomb()


def test_gzip_bomb(tmp_path: Path) -> None:
    assert len(BOMB) < 200_000
    message = refused(saved(tmp_path, BOMB))
    assert f"{LARGEST_FILE // 2**20} million bytes" in message


def test_broken_gzip(tmp_path: Path) -> None:
    packed = gzip.compress(whole(PIECE))
    assert "ends too soon" in refused(saved(tmp_path, packed[:-20]))
    assert "cannot be unpacked" in refused(saved(tmp_path, packed[:12] + b"\xff" * 40))
    assert "not SVG" in refused(saved(tmp_path, gzip.compress(packed)))


def test_a_gigabyte(tmp_path: Path) -> None:
    path = tmp_path / "large.svg"
    with path.open("wb") as file:
        file.truncate(2**30)
    assert f"{LARGEST_FILE // 2**20} million bytes" in refused(path)


def test_a_million_nodes(tmp_path: Path) -> None:
    assert str(MOST_TAGS) in refused(saved(tmp_path, whole(PIECE, b"<g/>" * 1_000_000)))
    wide = (ROOT + PIECE + b"<g/>" * 1_000_000 + END).decode().encode("utf-16")
    assert str(MOST_TAGS) in refused(saved(tmp_path, wide))


def test_nested_fifteen_thousand_deep(tmp_path: Path) -> None:
    message = refused(saved(tmp_path, whole(b"<g>" * 15_000, PIECE, b"</g>" * 15_000)))
    assert "depth" in message.lower() or "deep" in message.lower()
    assert "256" in message


@pytest.mark.parametrize("attribute", ["id", "d", "style", "points", "transform", "class"])
def test_an_attribute_of_ten_megabytes(attribute: str, tmp_path: Path) -> None:
    tag = "polygon" if attribute == "points" else "path"
    large = f"<{tag} {attribute}='".encode() + b"1 2 " * 2_700_000 + b"'/>"
    message = refused(saved(tmp_path, whole(PIECE, large)))
    assert "one text or value in it is longer than ten million letters" in message


LONG: dict[str, bytes] = {
    "points": b'<polyline points="' + b"9 9 8 7 " * 120_000 + b'"/>',
    "transform": b'<path transform="' + b"rotate(1) " * 400_000 + b'" d="M30 30h9"/>',
    "transform in a style": b'<path style="transform:' + b"rotate(1deg) " * 200_000 + b'" d="M30 30h9"/>',
    "style": b'<path style="' + b"fill:url(a);" * 400_000 + b'" d="M30 30h9"/>',
    "dashes": b'<path stroke-dasharray="' + b"1 2 " * 1_000_000 + b'" d="M30 30h9"/>',
    "text": b'<text x="40" y="40">' + b"word " * 1_000_000 + b"</text>",
    "many shapes": b'<path d="M30 30h3"/>' * 300_000,
    "many texts": b'<text x="40" y="40">a</text>' * 150_000,
    "many closed shapes": b'<path d="M30 30h3v3z"/>' * 40_000,
}


@pytest.mark.parametrize("what", LONG)
def test_much_of_anything_takes_bounded_time(what: str, tmp_path: Path) -> None:
    # Below the limits of the parser: read or refused, but within the time.
    path = saved(tmp_path, whole(PIECE, LONG[what]))
    try:
        job(path)
    except PleatError as error:
        assert len(str(error)) < 700
        assert not (tmp_path / "flat.svg").exists()


# ----------------------------------------------------------------------------------------- embedded pictures

PICTURE = b"iVBORw0KGgo+/AAA" * 700_000
ROWS = b"\n".join([b"iVBORw0KGgo+/AAA" * 5] * 25_000)
PICTURES: dict[str, bytes] = {
    "a picture": b'<image id="photo" width="9" xlink:href="data:image/png;base64,%s"/>' % PICTURE,
    "its address first, in other quotes": b"<image href = ' data:image/jpeg;base64,%s' id='photo'/>" % PICTURE,
    "in rows": b'<image id="photo" xlink:href="data:image/png;base64,\n%s"/>' % ROWS,
    "in rows by references": b'<image id="photo" href="data:;base64,%s"/>' % ROWS.replace(b"\n", b"&#xA;"),
    "a drawing": b'<image id="photo" href="DATA:image/svg+xml;utf8,%s"/>' % (b"&lt;g x='(1)' y=&quot;2&quot;" * 80_000),
    "in a filter": b'<image id="photo"/><filter id="f"><feImage href="data:image/png;base64,%s"/></filter>' % PICTURE,
    "in a style": b'<image id="photo"/><path id="moved" style="fill:url(data:image/png;base64,%s);transform:translate(9px)" '
    b'd="M40 40h4"/>' % PICTURE,
    "in a quoted style": b'<image id="photo"/><path id="moved" style="fill:url(&quot;data:image/png;base64,%s&quot;);'
    b'transform:translate(9px)" d="M40 40h4"/>' % PICTURE,
    "fonts": b"<image id='photo'/><style>@font-face{src:url(data:font/woff2;base64,%s)} "
    b"#moved{transform:translate(9px)}</style><path id='moved' d='M40 40h4'/>" % PICTURE,
}


@pytest.mark.parametrize("what", PICTURES)
def test_an_embedded_picture_is_left_out_and_listed(what: str, tmp_path: Path) -> None:
    piece = pleatsvg.read(saved(tmp_path, XLINKED + PICTURES[what] + PIECE + END))
    assert "image 'photo'" in piece.left_out
    assert [shape.stroke[0][0] for shape in piece.shapes] == [49 + 40j] * (b"moved" in PICTURES[what])


def test_an_embedded_picture_in_letters_of_two_bytes(tmp_path: Path) -> None:
    text = '<?xml version="1.0" encoding="UTF-16"?>' + (XLINKED + PICTURES["a picture"] + PIECE + END).decode()
    for encoding in ("utf-16", "utf-16-be"):
        assert "image 'photo'" in pleatsvg.read(saved(tmp_path, text.encode(encoding))).left_out


def test_lines_are_told_as_they_stand_in_the_file(tmp_path: Path) -> None:
    odd = b'\n<path style="zoom:2" d="M9 9h9"/>'
    assert "'path at line 25002'" in refused(saved(tmp_path, XLINKED + PICTURES["in rows"] + odd + PIECE + END))


# ------------------------------------------------------------------------------------------ style sheets


SHEETS: dict[str, bytes] = {
    "many rules": b".a{fill:red}\n" * 300_000,
    "a rule of many declarations": b".a{" + b"fill:red;" * 400_000 + b"}",
    "open brackets": b"[" * 400_000,
    "media in media": b"@media all{" * 50_000,
    "long selectors": (b"* " * 39 + b"*{fill:red}") * 300,
    "child selectors": (b"*>" * 900 + b"*{fill:red}") * 300,
    "siblings": (b"*~" * 30 + b"*{fill:red}") * 20,
    "nth": b"*:nth-last-child(2n+1):nth-child(2n){fill:red}" * 50,
    "not in not": (b":not(" * 300 + b"a" + b")" * 300 + b"{fill:red}") * 50,
    "nonsense": bytes(range(33, 38)) * 10_000 + b"}}}{{{;;;:::",
}


@pytest.mark.parametrize("sheet", SHEETS)
def test_style_sheet_abuse(sheet: str, tmp_path: Path) -> None:
    deep = b"<g>" * 100 + b'<path d="M30 30h3"/>' * 2_000 + b"</g>" * 100
    style = b"<style><![CDATA[" + SHEETS[sheet] + b"]]></style>"
    path = saved(tmp_path, whole(style, PIECE, deep))
    try:
        job(path)
    except PleatError as error:
        assert "style" in str(error)
        assert not (tmp_path / "flat.svg").exists()


# ------------------------------------------------------------------------------------- numbers and transforms

SHAPE = b'<path id="seam" d="M20 20H280V380H20Z" %s/>'
NUMBERS: dict[str, bytes] = {
    "NaN in a path": whole(b'<path id="seam" d="M20 20LNaN 20 20 380z"/>'),
    "infinity in a path": whole(b'<path id="seam" d="M20 20L1e999 20 20 380z"/>'),
    "1e300 in a path": whole(b'<path id="seam" d="M20 20L1e300 20 20 1e300z"/>'),
    "1e300 in points": whole(b'<polygon id="seam" points="1e300 0 1e300 5 0 5"/>'),
    "infinity in points": whole(b'<polygon id="seam" points="1e999 0 5 5 0 5"/>'),
    "infinity in a rectangle": whole(b'<rect id="seam" x="1e999" width="5" height="5"/>'),
    "NaN in a rectangle": whole(b'<rect id="seam" x="NaN" width="5" height="5"/>'),
    "1e308 in a rectangle": whole(b'<rect id="seam" x="1e308" width="1e308" height="5"/>'),
    "1e308 in a circle": whole(b'<circle id="seam" cx="9" cy="9" r="1e308"/>'),
    "NaN in a transform": whole(SHAPE % b'transform="scale(NaN)"'),
    "infinity in a transform": whole(SHAPE % b'transform="translate(1e999)"'),
    "1e200 twice in a transform": whole(SHAPE % b'transform="scale(1e200) scale(1e200)"'),
    "1e300 in a style": whole(SHAPE % b'style="transform:scale(1e300) rotate(1e300turn)"'),
    "infinity in a style": whole(SHAPE % b'style="transform:rotate(1e999deg)"'),
    "1e308 inches in a style": whole(SHAPE % b'style="transform:translate(1e308in)"'),
    "singular": whole(SHAPE % b'transform="matrix(1 2 2 4 0 0)"'),
    "scaled to nothing": whole(SHAPE % b'transform="scale(0)"'),
    "scaled to nothing in a style": whole(SHAPE % b'style="transform:scaleX(0)"'),
    "skewed by 90 degrees": whole(SHAPE % b'transform="skewX(90)"'),
    "no such transform": whole(SHAPE % b'transform="spin(9)"'),
    "turned in space": whole(SHAPE % b'style="transform:rotateY(45deg)"'),
    "huge arc": whole(b'<path id="seam" d="M20 20A1e12 1e12 0 0 1 280 20V380H20Z"/>'),
    "arc of 1e160": whole(b'<path id="seam" d="M20 20A1e160 1e160 0 0 1 280 20V380H20Z"/>'),
    "arc of 1e308": whole(b'<path id="seam" d="M20 20A1e308 1e308 0 0 1 280 20V380H20Z"/>'),
    "a flag of 2": whole(b'<path id="seam" d="M20 20A9 9 0 2 1 280 20V380H20Z"/>'),
    "a path that does not begin": whole(b'<path id="seam" d="L20 20 280 20 280 380z"/>'),
    "a path that breaks off": whole(b'<path id="seam" d="M20 20L280"/>'),
    "a view box of no size": ROOT.replace(b"0 0 300 400", b"0 0 0 0") + PIECE + END,
    "a view box of NaN": ROOT.replace(b"0 0 300 400", b"0 0 NaN 400") + PIECE + END,
    "a view box of 1e-300": ROOT.replace(b"0 0 300 400", b"0 0 1e-300 1e-300") + PIECE + END,
    "a view box of 1e308": ROOT.replace(b"0 0 300 400", b"0 0 1e308 1e308") + PIECE + END,
    "a view box of three": ROOT.replace(b"0 0 300 400", b"0 0 300") + PIECE + END,
    "a nested view box of no size": whole(b'<svg viewBox="0 0 0 9">', PIECE, b"</svg>"),
    "negative width": ROOT.replace(b"300mm", b"-300mm") + PIECE + END,
    "width of no unit known": ROOT.replace(b"300mm", b"300furlong") + PIECE + END,
    "width of 1e308 inches": ROOT.replace(b"300mm", b"1e308in") + PIECE + END,
    "width of 1e999": ROOT.replace(b"300mm", b"1e999mm") + PIECE + END,
}


SAID: dict[str, tuple[str, ...]] = {
    "path data that cannot be read": (
        "NaN in a path",
        "a flag of 2",
        "a path that does not begin",
        "a path that breaks off",
    ),
    "a number beyond all bounds": ("infinity in a path", "1e300 in a path", "arc of 1e160", "arc of 1e308"),
    "reaches more than 1000 km from the corner of the page": (
        "1e300 in points",
        "1e308 in a rectangle",
        "1e200 twice in a transform",
        "1e300 in a style",
        "skewed by 90 degrees",
        "a view box of 1e-300",
    ),
    "has points that cannot be read": ("infinity in points",),
    "has x='1e999'; it is beyond all bounds": ("infinity in a rectangle",),
    "has x='NaN'; it must be a number": ("NaN in a rectangle",),
    "has an arc with a radius of more than 1000 km": ("1e308 in a circle", "huge arc"),
    "has a transform that cannot be read": ("NaN in a transform", "infinity in a transform", "no such transform"),
    "has a transform in its style that cannot be read": (
        "infinity in a style",
        "1e308 inches in a style",
        "turned in space",
    ),
    "is squashed flat by its transform": ("singular", "scaled to nothing", "scaled to nothing in a style"),
    "it must be four numbers, of which the last two": (
        "a view box of no size",
        "a view box of NaN",
        "a view box of three",
    ),
    "has no outline": ("a view box of 1e308",),
    "The viewBox of 'svg at line 1' is '0 0 0 9'": ("a nested view box of no size",),
    "The drawing's width is '-300mm'; it must be more than 0": ("negative width",),
    "it must be a number with mm, cm, in, pt, pc or px": (
        "width of no unit known",
        "width of 1e308 inches",
        "width of 1e999",
    ),
}
"""What each of these is told, so that none is refused for another reason."""


@pytest.mark.parametrize("what", NUMBERS)
def test_numbers_beyond_all_bounds(what: str, tmp_path: Path) -> None:
    message = refused(saved(tmp_path, NUMBERS[what]))
    (said,) = [words for words, those in SAID.items() if what in those]
    assert said in message


# ---------------------------------------------------------------------------------------- files of other kinds

FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "empty"),
    "blank": (b" \n\t ", "empty"),
    "words": (b"Dear wardrobe, please find the pattern attached.", "not SVG"),
    "binary": (bytes(range(256)) * 40, "not SVG"),
    "zeros": (b"\0" * 5000, "not SVG"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0" * 100, "not SVG"),
    "a page": (b"<!DOCTYPE html><html><body><p>no</p></body></html>", "'html'"),
    "cut off in an attribute": (whole(PIECE)[:-30], "not SVG"),
    "cut off after a tag": (ROOT + PIECE, "not SVG"),
    "cut off in the first tag": (ROOT[:40], "not SVG"),
    "a wrong root": (b'<drawing xmlns="http://www.w3.org/2000/svg">' + PIECE + b"</drawing>", "'svg'"),
    "two roots": (whole(PIECE) * 2, "not SVG"),
    "no outline in it": (whole(), "no outline"),
    "an unknown encoding": (b'<?xml version="1.0" encoding="linen"?>' + whole(PIECE), "not SVG"),
    "Latin-1 that does not say so": (whole(PIECE, "<text>schräg</text>".encode("latin-1")), "not SVG"),
    "an undeclared prefix": (whole(PIECE, b'<g ink:label="x"/>'), "not SVG"),
}


@pytest.mark.parametrize("kind", FILES)
def test_what_is_no_drawing(kind: str, tmp_path: Path) -> None:
    data, word = FILES[kind]
    assert word in refused(saved(tmp_path, data))


def test_a_wrong_namespace_is_read_with_a_remark(tmp_path: Path) -> None:
    for space in (b"", b'xmlns="http://example.org/drawing"', b'xmlns="http://www.w3.org/2000/SVG/"'):
        path = saved(tmp_path, ROOT.replace(b'xmlns="http://www.w3.org/2000/svg"', space) + PIECE + END)
        piece = pleatsvg.read(path)
        assert piece.outline.area == pytest.approx(260 * 360)
        assert any("namespace" in note for note in piece.notes)


@pytest.mark.parametrize(
    "declared",
    [
        b'svg:svg xmlns:svg="http://www.w3.org/2000/svg"',
        b's:svg xmlns:s="http://www.w3.org/2000/svg" xmlns:svg="http://www.w3.org/2000/svg"',
        b'svg:svg xmlns="http://example.org/drawing" xmlns:svg="http://www.w3.org/2000/svg"',
        b's:svg xmlns:s="http://example.org/drawing" xmlns:svg="http://www.w3.org/2000/svg"',
    ],
)
@pytest.mark.parametrize("child", [b"", b"svg:"])
def test_a_prefix_that_the_root_declares(declared: bytes, child: bytes, tmp_path: Path) -> None:
    name = declared.split(b" ")[0]
    inside = PIECE.replace(b"<path", b"<" + child + b"path")
    drawing = ROOT.replace(b'svg xmlns="http://www.w3.org/2000/svg"', declared) + inside + b"</" + name + b">"
    piece = pleatsvg.read(saved(tmp_path, drawing))
    assert piece.outline.area == pytest.approx(260 * 360)
    if not child:
        assert any("namespace" in note for note in piece.notes)


def test_a_folder_a_pipe_a_device_and_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "folder.svg"
    folder.mkdir()
    assert "not a file" in refused(folder)
    pipe = tmp_path / "pipe.svg"
    os.mkfifo(pipe)
    assert "not a file" in refused(pipe)
    assert "not there" in refused(tmp_path / "nowhere.svg")
    with pytest.raises(DrawingError, match="not a file"):
        pleatsvg.read("/dev/zero")
    with pytest.raises(DrawingError, match=r"not there|cannot be read"):
        pleatsvg.read(tmp_path / ("n" * 5000))


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Whoever runs the tests may be allowed everything, so the refusal of the system is put in its place.
    def forbidden(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = saved(tmp_path, whole(PIECE))
    monkeypatch.setattr(Path, "read_bytes", forbidden)
    with pytest.raises(DrawingError, match=r"cannot be read .Permission denied"):
        pleatsvg.read(path)


# --------------------------------------------------------------------------------------- what is never carried

ACTING = (
    b'<script>alert("a")</script>'
    b'<a xlink:href="javascript:alert(1)" onclick="alert(2)"><path id="mark 1" onmouseover="alert(3)" d="M40 40h9" '
    b'stroke="url(#p)" fill="url(http://example.org/p)" marker-end="url(#m)" filter="url(#f)" clip-path="url(#c)"/></a>'
    b'<path id="mark 2" d="M40 60h9v9z" style="fill:url(#p) red;stroke:URL( &quot;http://example.org/q&quot; );mask:url(#m)"/>'
    b'<path id="mark 3" d="M40 80h9v9z" fill="u\\72l(http://example.org/r)" stroke="\\75\\72\\6c(http://example.org/s)"/>'
    b'<path id="mark 4" d="M40 99h9v9z" stroke="red&quot; onload=&quot;alert(4)" fill="&lt;script>"/>'
    b'<path id="mark 5&quot;>&lt;script>alert(5)&lt;/script>" d="M40 120h9v9z"/>'
    b'<path id="mark 6" d="M40 140h9v9z"><animate attributeName="d" to="M0 0"/>'
    b'<set attributeName="href" to="javascript:a"/></path>'
    b'<text x="40" y="200" onclick="alert(6)" fill="url(#p)" font-family="u\\72l(http://example.org/t)" style="cursor:url(x)">'
    b'cut <a xlink:href="javascript:alert(7)"><tspan onload="alert(8)" fill="url(#q)">two</tspan></a>'
    b'<script>alert(9)</script><animate attributeName="x" to="9"/><textPath xlink:href="#seam">round</textPath></text>'
    b'<text x="40" y="230">&lt;script>alert(10)&lt;/script></text>'
    b'<foreignObject><body xmlns="http://www.w3.org/1999/xhtml" onload="alert(11)"/></foreignObject>'
    b'<image xlink:href="data:image/png;base64,AAAA" width="9" height="9"/>'
    b'<style>#slash { behavior: url(x.htc); fill: expression(alert(12)) } text { fill: url("javascript:alert(13)") }</style>'
)


def test_nothing_that_acts_is_ever_written(tmp_path: Path) -> None:
    path = saved(tmp_path, XLINKED + b'<g onload="alert(0)">' + PIECE + ACTING + b"</g>" + END)
    job(path)
    data = (tmp_path / "flat.svg").read_bytes()
    assert b"<!DOCTYPE" not in data
    assert b"<!ENTITY" not in data
    root = etree.fromstring(data)
    for element in root.iter():
        assert isinstance(element.tag, str), "a comment, an instruction or an entity"
        tag = etree.QName(element)
        assert tag.namespace == "http://www.w3.org/2000/svg"
        if tag.localname == "style":  # the size of its page for print, and nothing else
            assert re.fullmatch(r"\s*@page\s*\{[\s\w.:;-]*\}\s*", element.text or ""), element.text
            continue
        assert tag.localname in {"svg", "g", "path", "rect", "text", "tspan", "title"}, tag.localname
        for name, value in element.items():
            plain = etree.QName(name).localname.lower()
            assert not plain.startswith("on"), name
            assert plain not in {"href", "src", "filter", "mask", "clip-path", "marker-end", "cursor"}, name
            if name not in ("data-name", "data-piece", f"{{{'http://www.inkscape.org/namespaces/inkscape'}}}label"):
                assert "url" not in value.lower(), f"{name}={value}"
                assert "\\" not in value, f"{name}={value}: CSS reads escapes in it"
                assert "javascript" not in value.lower(), f"{name}={value}"
                assert "expression" not in value.lower(), f"{name}={value}"
    words = ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "<script>alert(10)</script>" in words, "words stay words"
    assert not any("alert(9)" in row for row in words), "a script inside a text is no text"


# ----------------------------------------------------------------------------------------- the command line

MEASURED = """
import os, resource, sys, traceback
from pathlib import Path
import pleatsvg.api, pleatsvg.cli.pleat  # once for all that are split off below
from pleatsvg.cli import run
from tests.peak import peak_kilobytes
drawings = sys.argv[1:]
sys.argv = ["pleatsvg", "pleat", f"{drawings[0]}.missing", "-o", f"{drawings[0]}.never"]
try:
    run()  # what a refusal imports is imported once, too
except SystemExit:
    pass
for drawing in drawings:
    child = os.fork()
    if child:
        os.waitpid(child, 0)
        continue
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (1500 * 2**20, 1500 * 2**20))  # so that a fault does not eat the machine
    for number in (1, 2):
        os.dup2(os.open(f"{drawing}.{number}", os.O_WRONLY | os.O_CREAT), number)
    pleat = ["--kind", "knife", "--intake", "2cm", "--lap", "left"]
    sys.argv = ["pleatsvg", "pleat", drawing, "-o", f"{drawing}.flat.svg", *pleat]
    code = 0
    try:
        run()
    except SystemExit as left:
        code = left.code
    except BaseException:
        code = 70
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    Path(f"{drawing}.told").write_text(f"{code or 0} {peak_kilobytes()}")
    os._exit(0)
"""
"""The program, each time in a process of its own that is split off from one that has imported it: its peak of memory is
counted from what it holds then."""
HEAVY: dict[str, Callable[[], bytes]] = {
    "an arc of 1e300": lambda: whole(b'<path id="seam" d="M20 20H280V380H20A1e300 1e300 0 0 1 20 20Z"/>', SLASH),
    "a circle of 1e60": lambda: whole(b'<circle id="seam" r="1e60"/>', SLASH),
    "a rounded page of 1e80": lambda: whole(b'<rect id="seam" width="1e80" height="1e80" rx="1e79"/>', SLASH),
    "a million nodes": lambda: whole(PIECE, b"<g/>" * 1_000_000),
    "nodes just below the limit": lambda: whole(SLASH, b"<g/>" * (MOST_TAGS - 100)),
    "entity bomb": lambda: _lol(b'<g id="&l9;"/>'),
    "gzip bomb": lambda: BOMB,
    "sixty million bytes of words": lambda: whole(SLASH, (b"<desc>" + b"a" * 9_000_000 + b"</desc>") * 6),
    "long path data": lambda: whole(PIECE, b'<path d="M10 10', b"L9 9 8 7" * 150_000, b'"/>'),
    "three pictures": lambda: XLINKED + PICTURES["a picture"] * 3 + PIECE + END,
    "a long style sheet": lambda: whole(PIECE, b"<style>", SHEETS["many rules"], b"</style>"),
}


@pytest.fixture(scope="module")
def heavy(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Every heavy drawing, after the program was called with it."""
    folder = tmp_path_factory.mktemp("heavy")
    made = {what: folder / f"{number}.svg" for number, what in enumerate(HEAVY)}
    for what, path in made.items():
        path.write_bytes(HEAVY[what]())
    subprocess.run(
        [sys.executable, "-c", MEASURED.replace("SECONDS", str(SECONDS)), *map(str, made.values())],
        timeout=4 * SECONDS * len(made),  # in a slow hour; each has so many seconds of the processor
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1]), "OPENBLAS_NUM_THREADS": "1"},
    )
    return made


@pytest.mark.parametrize("what", HEAVY)
def test_memory_and_one_paragraph_from_the_command_line(what: str, heavy: dict[str, Path]) -> None:
    path = heavy[what]
    told = path.with_suffix(".svg.told")
    assert told.exists(), f"took longer than {SECONDS} s"
    code, peak = map(int, told.read_text().split())
    assert peak < MEGABYTES * 1024
    out, said = path.with_suffix(".svg.flat.svg"), path.with_suffix(".svg.2").read_text()
    if code:
        assert_refused(Outcome(code, path.with_suffix(".svg.1").read_text(), said), DRAWING)
        assert "should not have" not in said
        assert not out.exists()
    else:
        assert out.exists()


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize("data", [b"M150 20V380Z", b"M150 20V200V380Z", b"M150 20V380V99V20"])
def test_a_line_there_and_back_is_a_line(data: bytes, named: bool, tmp_path: Path) -> None:
    """Some writers close every path they write."""
    name = b'id="slash 1" ' if named else b""
    inside = SEAM + b"<path " + name + b'd="' + data + b'"/>'
    piece = pleatsvg.read(saved(tmp_path, whole(inside)))
    (line,) = piece.slashes if named else piece.crossing_lines
    assert (line.start, line.end) == (150 + 20j, 150 + 380j)
    made = pleatsvg.pleat(piece, kind="knife", intake="20mm", lap="left", slash=() if named else "all")
    assert len(made.pleats) == 1


def test_a_closed_shape_is_still_no_slash_line(tmp_path: Path) -> None:
    said = refused(saved(tmp_path, whole(SEAM, b'<path id="slash 1" d="M150 20V380L152 200Z"/>')))
    assert "closed shape" in said


def test_no_control_character_comes_through_titles_words_and_links(tmp_path: Path) -> None:
    outline = b'<rect x="20" y="20" width="260" height="360"/>' + SLASH
    inside = '<title>\u009bapron</title><text x="1" y="9">\u009bnote</text><use href="\u009bx"/>'.encode()
    piece = pleatsvg.read(saved(tmp_path, whole(inside, outline)))
    assert piece.name == "apron"
    said = " ".join([*piece.notes, *piece.left_out])
    assert "'note'" in said
    assert "'x'" in said
    assert "\u009b" not in said


def test_long_names_are_cut_short_in_messages(tmp_path: Path) -> None:
    name = b"seam " + b"s" * 400
    two = b'<path id="%s" d="M20 20H280V380H20Z"/>' % name
    assert "sss...'" in refused(saved(tmp_path, whole(two, two)))
    assert "sss...'" in refused(saved(tmp_path, whole(two.replace(b"H280", b"L20 380 280 20"))))
