"""The roles of a pleat's lines: what a line is on the cloth, and so its class, its words and the way it folds."""

from __future__ import annotations

from enum import Enum

from pleatsvg.result.classes import CLASSES, Ink


class Role(Enum):
    """The role of a line of a pleat.

    Attributes:
        sign: how marks and labels that belong to it name it.
        css: the class under which it is written.
        crease: whether cloth is folded along it.
        mountain: of a crease, whether it stands up on the right side of the cloth (wrong sides come together).
        hidden: of a crease, whether it lies out of sight when the pleat is folded.
        words: its label, with its pleat's number and the layer of a stack left open.
    """

    FOLD = ("fold", "fold-line", True, True, False, "FOLD {}{}")
    INNER = ("inner", "inner-fold-line", True, False, True, "INNER FOLD {}{}")
    OUTWARD = ("inner", "inner-fold-line", True, True, True, "INNER FOLD {}{} OUTWARD")
    STITCH = ("stitch", "stitch-line", True, False, False, "STITCH {}{}")
    PLACEMENT = ("placement", "placement-line", False, False, False, "PLACE {}{} HERE")
    MATE = ("mate", "stitch-line", False, False, False, "STITCH {}{}")

    def __init__(self, sign: str, css: str, crease: bool, mountain: bool, hidden: bool, words: str) -> None:
        self.sign = sign
        self.css = css
        self.crease = crease
        self.mountain = mountain
        self.hidden = hidden
        self.words = words
        self.label = f"{sign}-label"
        self.stitched = css == "stitch-line"
        """Whether it is one of the two lines along which a tuck is stitched."""

    @property
    def way(self) -> str:
        """The way it folds, for a crease of whose class that is not plain; else ""."""
        return "mountain" if self is Role.OUTWARD else ""


def is_mountain(css: str, way: str) -> bool:
    """Return whether a crease of a result is a mountain on the right side of the cloth.

    Args:
        css: its class.
        way: what its `data-way` says, "mountain", "valley" or "".
    """
    return way == "mountain" if way else css == Role.FOLD.css


def sign_ink(sign: str) -> Ink | None:
    """Return the ink of the marks that belong to a line, as they name it; None where they name none."""
    css = _CSS.get(sign)
    return CLASSES[css].signs if css is not None else None


_CSS = {role.sign: role.css for role in Role} | {"join": "join-line", "seam": "seam-line"}
