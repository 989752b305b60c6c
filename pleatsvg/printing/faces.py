"""Faces of type: what letters are set in and how wide they are.

The face is Bitstream Vera Sans, which comes with reportlab, so that pages are the same on every machine and every letter
of Latin-1 is embedded. Letters that it lacks are looked for in the faces of the machine; where none has them they are
told, and a question mark stands for each.
"""

from __future__ import annotations

import os
import sys
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

_VERA = {(False, False): "Vera", (True, False): "VeraBd", (False, True): "VeraIt", (True, True): "VeraBI"}

_PREFERRED = ("dejavusans.ttf", "liberationsans-regular.ttf", "arial.ttf", "notosans-regular.ttf", "freesans.ttf")
"""Faces that are asked first, by file name: plain ones with many letters."""

_MOST_ASKED = 60
"""Faces of the machine that are opened for a letter; opening one takes some hundredths of a second."""

_LARGEST = 30_000_000
"""Bytes of a face that is opened."""

_MISSING = "?"


def face_of(bold: bool, italic: bool) -> str:
    """Return the name of the face that words are set in, made known to reportlab."""
    return _known(_VERA[bold, italic])


@cache
def _known(name: str) -> str:
    import reportlab
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    file = Path(reportlab.__file__).parent / "fonts" / f"{name}.ttf"
    pdfmetrics.registerFont(TTFont(f"pleats-{name}", os.fspath(file)))
    return f"pleats-{name}"


@cache
def _letters_of(face: str) -> frozenset[int]:
    from reportlab.pdfbase import pdfmetrics

    font: Any = pdfmetrics.getFont(face)
    return frozenset(font.face.charToGlyph)


class Setting:
    """Sets words: in which faces, how wide; and keeps account of what no face has."""

    def __init__(self) -> None:
        self.missing: dict[str, None] = {}
        self.leftward = False

    def runs(self, words: str, bold: bool = False, italic: bool = False) -> list[tuple[str, str]]:
        """Return words as (face, letters): in the face of the program, but for letters that it lacks."""
        face = face_of(bold, italic)
        has = _letters_of(face)
        if all(ord(letter) in has for letter in words):
            return [(face, words)] if words else []
        made: list[tuple[str, str]] = []
        for letter in words:
            code = ord(letter)
            here, shown = face, letter
            if unicodedata.bidirectional(letter) in ("R", "AL"):
                self.leftward = True
            if code not in has:
                if letter.isspace() or unicodedata.category(letter) in ("Cf", "Cc"):
                    shown = " " if letter.isspace() else ""
                else:
                    other = _face_with(code)
                    if other is None:
                        self.missing[letter] = None
                        shown = _MISSING
                    else:
                        here = other
            if made and made[-1][0] == here:
                made[-1] = (here, made[-1][1] + shown)
            elif shown:
                made.append((here, shown))
        return made

    def width(self, words: str, size: float, bold: bool = False, italic: bool = False) -> float:
        """Return the width of words in the unit of their size."""
        return sum([_width(face, letters) for face, letters in self.runs(words, bold, italic)]) * size


@lru_cache(maxsize=4096)
def _width(face: str, letters: str) -> float:
    from reportlab.pdfbase import pdfmetrics

    return float(pdfmetrics.stringWidth(letters, face, 1000.0)) / 1000.0


@cache
def _face_with(code: int) -> str | None:
    for file in _faces_of_machine():
        name = _opened(file)
        if name is not None and code in _letters_of(name):
            return name
    return None


@cache
def _opened(file: Path) -> str | None:
    # A face that cannot be embedded, as those with outlines of another kind, is passed over.
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    name = f"machine-{file.stem}-{len(_faces_of_machine())}"
    try:
        pdfmetrics.registerFont(TTFont(name, os.fspath(file)))
    except (TTFError, OSError, ValueError, KeyError, IndexError, AssertionError):
        return None
    return name


@cache
def _faces_of_machine() -> tuple[Path, ...]:
    home = Path.home()
    folders = {
        "darwin": [home / "Library/Fonts", Path("/Library/Fonts"), Path("/System/Library/Fonts")],
        "win32": [Path(os.environ.get("WINDIR", r"C:\Windows")) / "Fonts"],
    }.get(
        sys.platform,
        [home / ".fonts", home / ".local/share/fonts", Path("/usr/local/share/fonts"), Path("/usr/share/fonts")],
    )
    found: list[Path] = []
    for folder in folders:
        for place, _, files in os.walk(folder):
            for file in files:
                if file.lower().endswith((".ttf", ".ttc")):
                    found.append(Path(place, file))
    found = [file for file in found if _size_of(file) <= _LARGEST]

    def rank(file: Path) -> tuple[int, bool, str]:
        name = file.name.lower()
        styled = any(word in name for word in ("bold", "italic", "oblique", "light", "black", "mono", "serif", "thin"))
        return (_PREFERRED.index(name) if name in _PREFERRED else len(_PREFERRED), styled, name)

    return tuple(sorted(found, key=rank)[:_MOST_ASKED])


def _size_of(file: Path) -> int:
    try:
        return file.stat().st_size
    except OSError:
        return _LARGEST + 1


def told(setting: Setting) -> list[str]:
    """Return what is to be said of letters that could not be set."""
    notes: list[str] = []
    if setting.missing:
        letters = list(setting.missing)
        shown = "".join(letters[:12]) + ("..." if len(letters) > 12 else "")
        notes.append(
            f"No face of type on this machine has the letters {shown}; a question mark stands for each on the pages. "
            "Lines are not touched by it; put a face that has them into the folder of fonts, or write the words by hand."
        )
    if setting.leftward:
        notes.append(
            "Words written from right to left are set letter by letter from the left; read them in the drawing."
        )
    return notes
