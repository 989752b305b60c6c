"""On which line of a TOML text each table, key and list element stands; the parser itself does not say.

Written against TOML 1.0 (toml.io) and meant for a text that the parser has taken already, so nothing is refused here.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

TomlPath = tuple[str | int, ...]
"""Where something stands: ("piece", 2, "slash", 0) is the first element of `slash` in the third [[piece]]."""


_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")


_BARE = re.compile(r"[A-Za-z0-9_-]+")


_SCALAR = re.compile(r"[^,\]}#\n]*")


_KEY_DOT = re.compile(r"[ \t]*\.[ \t]*")


_STRING = re.compile(
    # Up to two quotes may stand before the closing three.
    r'"""(?:[^"\\]++|\\.|"(?!""))*+"{3,5}'
    r"|'''(?:[^']++|'(?!''))*+'{3,5}"
    r'|"(?:[^"\\]++|\\.)*+"'
    r"|'[^']*+'",
    re.DOTALL,
)


_SPACE = re.compile(r"[ \t]*")


def lines_of(text: str) -> dict[TomlPath, int]:
    """Return the line, from 1, of everything in a TOML text.

    Args:
        text: one that `tomllib.loads` takes.
    """
    return _Index(text.replace("\r\n", "\n")).found


class _Index:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [k for k, letter in enumerate(text) if letter == "\n"]
        self.found: dict[TomlPath, int] = {(): 1}
        self.counts: dict[TomlPath, int] = {}  # how many tables each array of tables holds so far
        table: TomlPath = ()
        while self._skip_blank() < len(text):
            if text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)

    def _line(self) -> int:
        return bisect_right(self.breaks, self.at - 1) + 1

    def _skip_blank(self) -> int:
        match = _BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at

    def _header(self) -> TomlPath:
        line = self._line()
        array = self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        keys = self._keys()
        self.at = self.text.index("]", self.at) + (2 if array else 1)
        path: TomlPath = ()
        for key in keys[:-1]:
            path = self._inside((*path, key))
            self.found.setdefault(path, line)
        path = (*path, keys[-1])
        if array:
            self.found.setdefault(path, line)
            self.counts[path] = self.counts.get(path, 0) + 1
            path = self._inside(path)
        self.found[path] = line
        return path

    def _inside(self, path: TomlPath) -> TomlPath:
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def _keys(self) -> list[str]:
        keys: list[str] = []
        self._skip(_SPACE)
        while True:
            start = self.at
            if self.text[start] in "\"'":
                self._string()
                keys.append(str(tomllib.loads(f"k = {self.text[start : self.at]}")["k"]))
            else:
                match = _BARE.match(self.text, start)
                assert match is not None  # the parser took it
                self.at = match.end()
                keys.append(match[0])
            if not self._skip(_KEY_DOT):
                return keys

    def _skip(self, shape: re.Pattern[str]) -> bool:
        match = shape.match(self.text, self.at)
        if match is None:
            return False
        self.at = match.end()
        return True

    def _pair(self, table: TomlPath) -> None:
        line = self._line()
        path = table
        for key in self._keys():
            path = (*path, key)
            self.found.setdefault(path, line)
        self.at = self.text.index("=", self.at) + 1
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: TomlPath) -> None:
        letter = self.text[self.at]
        if letter in "\"'":
            self._string()
        elif letter == "[":
            self.at += 1
            number = 0
            while self.text[self._skip_blank()] != "]":
                if self.text[self.at] == ",":
                    self.at += 1
                    continue
                self.found[(*path, number)] = self._line()
                self._value((*path, number))
                number += 1
            self.at += 1
        elif letter == "{":
            self.at += 1
            while self.text[self._skip_blank()] != "}":
                if self.text[self.at] == ",":
                    self.at += 1
                    continue
                self._pair(path)
            self.at += 1
        else:
            self._skip(_SCALAR)

    def _string(self) -> None:
        self._skip(_STRING)
