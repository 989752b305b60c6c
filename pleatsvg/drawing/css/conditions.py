"""Conditions under which an element is shown at all (SVG 2, section 5.9): beside `display`, what hides it.

`requiredFeatures` is no condition any more, and browsers do not look at it.
"""

from __future__ import annotations

from lxml import etree

_EXTENSIONS = frozenset({"http://www.w3.org/1999/xhtml", "http://www.w3.org/1998/Math/MathML"})
"""What browsers show within a drawing; all other names are of programs that draw."""


def unmet(element: etree._Element) -> str:
    """Return which condition of an element does not hold, in words; "" where all hold.

    English is taken as the reader's language, so that all machines agree.
    """
    extensions = element.get("requiredExtensions")
    if extensions is not None:
        words = extensions.split()
        if not words or not _EXTENSIONS.issuperset(words):
            return "for a program with extensions of its own"
    languages = element.get("systemLanguage")
    if languages is not None and not any(word.strip().lower().split("-")[0] == "en" for word in languages.split(",")):
        return "for readers of another language"
    return ""
