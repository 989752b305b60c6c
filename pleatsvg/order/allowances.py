"""What is asked of the cutting line: how far outside the seam it lies, edge by edge."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.length import Length


@dataclass(frozen=True, slots=True)
class Allowances:
    """Seam and hem allowances as asked for.

    Attributes:
        everywhere: of every edge that is not named, or None.
        edges: (edge, allowance) for edges by name or number.
        drawn: the outline drawn is the cutting line, and the seam lies this far inside it; or None.
        hem_turn: the sides are mirrored across the hem line, so that the hem turned up matches them.
        dart_lies: the ways in which darts are pressed; of a dart that none of them fits it is left open.
    """

    everywhere: Length | None = None
    edges: tuple[tuple[str, Length], ...] = ()
    drawn: Length | None = None
    hem_turn: bool = False
    dart_lies: tuple[str, ...] = ()

    @property
    def asked(self) -> bool:
        """Whether a cutting line was asked for."""
        return self.everywhere is not None or bool(self.edges)


NO_ALLOWANCE = Allowances()
