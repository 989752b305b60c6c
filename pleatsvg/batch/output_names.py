"""File names for results, made from names that strangers typed: always one plain file below the output folder."""

from __future__ import annotations

import hashlib
import re
import unicodedata

MOST_BYTES = 200
"""Of a file name in UTF-8. File systems take 255; the temporary file beside a result has a name 15 longer."""


_FORBIDDEN = '<>:"/\\|?*'


_DEVICES = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9¹²³])(\.|$)", re.IGNORECASE)


_PLAIN = re.compile(r"[a-z0-9][a-z0-9_-]{0,99}", re.IGNORECASE | re.ASCII)


_JOINERS = "\u200c\u200d"  # some scripts are spelt with them


def safe_name(stem: str) -> str:
    """Return a file name ending in ".svg" that every common file system takes, as near to `stem` as that allows.

    What stands for folders, devices, wild cards or nothing to be seen becomes "_"; a name too long is cut, and told
    from others cut alike by eight letters of its digest.

    >>> safe_name("../skirt: front."), safe_name("nul")
    ('___skirt_ front.svg', '_nul.svg')
    """
    if _PLAIN.fullmatch(stem) and not _DEVICES.match(stem):
        return stem + ".svg"
    plain = unicodedata.normalize("NFC", "".join([_safe_letter(letter) for letter in stem]))
    plain = plain.strip(" ")
    if plain.casefold().endswith(".svg"):
        plain = plain[:-4]
    plain = plain.rstrip(" .")
    hidden = len(plain) - len(plain.lstrip("."))
    plain = "_" * hidden + plain[hidden:]
    if not plain.strip("_ "):
        plain = f"piece{plain}"
    if _DEVICES.match(plain) or plain[0] in "-~":
        plain = f"_{plain}"
    if len(plain.encode()) + 4 > MOST_BYTES:
        mark = "-" + hashlib.sha256(plain.encode()).hexdigest()[:8]
        plain = plain.encode()[: MOST_BYTES - 4 - len(mark)].decode(errors="ignore").rstrip(" .") + mark
    return plain + ".svg"


def _safe_letter(letter: str) -> str:
    unseen = unicodedata.category(letter)[0] == "C" and letter not in _JOINERS
    return "_" if unseen or letter in _FORBIDDEN else " " if letter.isspace() else letter


def same_file_key(name: str) -> str:
    """Return what two names have in common if some file system takes them for one: case and Unicode form do not count."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
