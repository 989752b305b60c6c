"""What the level is called from which fitted pleats are shaped: decided here, and the same word wherever it is spoken of.

A noun without its article: "hip" of a drawn line that is called so, "line 'yoke'" of one of another name, "shaping level" where
no line is drawn for it. Along curves, fold and placement lines bend half-way up from there to the top: that is the "bend".
A result states the noun of the level at which its lines bend with that line, as `data-level`.
"""

from __future__ import annotations

SHAPING_LEVEL = "shaping level"
BEND = "bend"

_LINES = ("balance line", "hem line")
"""Names that say by themselves what they are, as `pleatsvg.drawing.names` knows them."""

_LONGEST = 40
"""Letters of a stated noun; a longer one is none of ours."""


def level_of_line(name: str | None) -> str:
    """Return what a level is called: by the drawn line's own name, else "shaping level".

    >>> level_of_line("HIP"), level_of_line("balance_line yoke"), level_of_line("yoke"), level_of_line(None)
    ('hip', 'balance line yoke', "line 'yoke'", 'shaping level')
    """
    plain = " ".join((name or "").replace("_", " ").split())
    if not plain or len(plain) > _LONGEST - len("line ''"):
        return SHAPING_LEVEL
    said = plain.lower()
    return said if said.split()[0] in ("hip", "hips") or said.startswith(_LINES) else f"line '{plain}'"


def stated_level(said: str) -> str:
    """Return the noun that a result states; one that states none was shaped from its "shaping level"."""
    plain = " ".join(said.split())
    return plain if 0 < len(plain) <= _LONGEST else SHAPING_LEVEL
