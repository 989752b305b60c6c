"""What a plan is asked for: options as typed, read and checked one by one. Lengths in mm."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from pleatsvg.errors import RequestError, cut_short, near_names
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.length import Length, parse_length
from pleatsvg.order.options import as_listed
from pleatsvg.plan.options import PLAN_OPTIONS
from pleatsvg.wording import message, option

LAPS = ("left", "right", "centre", "sides")
"""The ways that the folds of upright pleats can point."""


MOST_PLEATS = 2000
"""As many as lines can be placed on a piece; a number beyond it is a slip of the keys."""


LONGEST = 100_000.0
"""mm. Longer than any cloth on a roll."""


_BY_THE_ROLL = re.compile(
    r"(?P<number>.*[\d.,½¼¾⅛⅜⅝⅞⅓⅔])\s*(?:(?P<metres>m|metres?|meters?)|yds?|yards?)", re.IGNORECASE
)


class Ends(NamedTuple):
    """What is left at both ends of a row of pleats: a length, or a share of a space."""

    share: float
    """Of a space, at each end: 0.5, 1, or 0 where it is a length."""

    margin: float = 0.0
    """At each end, in mm."""

    @property
    def spaces(self) -> float:
        """How many spaces more than those between the pleats there are, both ends together."""
        return 2 * self.share


HALF_SPACES = Ends(0.5)


class Allowances(NamedTuple):
    """What lies outside the seam, in mm; `typed` is how it was asked for, for a job file."""

    left: float = 0.0
    right: float = 0.0
    top: float = 0.0
    hem: float = 0.0
    typed: tuple[str, ...] = ()


class Fabric(NamedTuple):
    """The cloth as it is sold, and what is cut from it. Lengths in mm, None where it is not said."""

    width: float | None = None
    length: float | None = None
    have: float | None = None
    bottom: float | None = None
    allowances: Allowances = Allowances()
    nap: bool = False
    pieces: int = 1


NO_FABRIC = Fabric()


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known of the pleats before they are planned. Lengths in mm; None where it is left to be found.

    Attributes:
        kind: of the pleats.
        unit: to answer in.
        finished, count, spacing, intake, flat: the five figures of a plan.
        by_depth: whether the intake was given as a depth.
        full: full pleats are asked for by name.
        face: of box pleats, 0 where it is left to follow the depth.
        gap: of tucks, as seen, or None.
        ends: what is left at both ends; `ring`: there are none.
        plain: part of the finished width without pleats.
        apart: intakes of pleats that have one of their own.
        levels: names and finished widths at other levels of the same cloth.
        repeat, repeat_start: of a stripe, or None.
        fold_loss: at each fold.
        lap: one of LAPS, or None.
        fabric: cf. `Fabric`.
        width_by: the option that the finished width was given by.
        notes: what was taken for granted, in sentences.
    """

    kind: Kind
    unit: str
    finished: float | None = None
    count: int | None = None
    spacing: float | None = None
    intake: float | None = None
    flat: float | None = None
    by_depth: bool = False
    full: bool = False
    face: float = 0.0
    gap: float | None = None
    ends: Ends = HALF_SPACES
    ring: bool = False
    plain: float = 0.0
    apart: tuple[float, ...] = ()
    levels: tuple[tuple[str, float], ...] = ()
    repeat: float | None = None
    repeat_start: float | None = None
    fold_loss: float = 0.0
    lap: str | None = None
    fabric: Fabric = NO_FABRIC
    width_by: str = "finished"
    notes: tuple[str, ...] = ()

    @property
    def takes(self) -> int:
        """How many depths one pleat takes up."""
        return self.kind.to_before.depths_taken

    @property
    def lost(self) -> float:
        """What is lost in turning at all folds of one pleat, in mm."""
        return self.fold_loss * len(self.kind.to_before.folds)


def counted(count: int, asked: Asked) -> str:
    """Return how many pleats of a plan's kind, in words: "1 knife pleat", "29 pin tucks"."""
    return f"{count} {noun(asked.kind)}{'s' * (count != 1)}"


def noun(kind: Kind) -> str:
    """Return what one pleat of a kind is called in a sentence."""
    return kind.noun.replace("-", " ")


def asked_from(options: Mapping[str, Any]) -> Asked:
    """Read what a plan is asked for.

    Args:
        options: rows of `pleatsvg.plan.options`, under their own names, as typed; numbers read.

    Raises:
        RequestError: something is no length, or cannot be, or two options say the same thing.
    """
    return _Reader(options).asked()


class _Reader:
    def __init__(self, options: Mapping[str, Any]) -> None:
        self.options = options
        self.notes: list[str] = []

    def asked(self) -> Asked:
        kind = self._kind()
        width = self._finished()
        intake, by_depth = self._intake(kind)
        gap, spacing, face = self._above("gap"), self._above("spacing"), self._above("face")
        self._refuse_without(gap is not None and not kind.stitched, "gap", kind, "they are told by their spacing")
        self._refuse_without(
            face is not None and not kind.to_before.has_face, "face", kind, "their spacing is what is seen"
        )
        self._refuse_without(self._flag("full") and kind.stitched, "full", kind, "tucks have no underlay to be full")
        if gap is not None and spacing is not None:
            raise self._both("gap", "spacing", "a tuck's spacing is its gap and its own width")
        for name, other in (("full", "intake"), ("full", "depth"), ("full", "repeat")):
            if self.options.get(name) and self.options.get(other):
                raise self._both(name, other, "the depth of full pleats follows from their spacing")
        if self._flag("full") and self.options.get("flat") and width is not None:
            raise self._both("full", "flat", "the flat width of full pleats follows from the finished width")
        lengths = {name: self._length(name) for name in ("spacing", "gap", "intake", "depth", "flat", "cloth_width")}
        said = [width, *lengths.values()]
        unit = self._word("unit") or next((one.unit for one in said if one is not None and one.mm), "cm")
        flat = self._above("flat")
        return Asked(
            kind=kind,
            unit=unit,
            finished=None if width is None else width.mm,
            count=self._count(),
            spacing=spacing,
            intake=intake,
            flat=flat,
            by_depth=by_depth,
            full=self._flag("full"),
            face=face or 0.0,
            gap=gap,
            ends=self._ends(),
            ring=self._flag("ring"),
            plain=self._above("plain") or 0.0,
            apart=tuple([self._positive("apart", one) for one in self.options.get("apart") or ()]),
            levels=tuple([self._level(one) for one in self.options.get("balance") or ()]),
            repeat=self._above("repeat"),
            repeat_start=self._repeat_start(),
            fold_loss=self._from_nothing("fold_loss"),
            lap=self._lap(kind),
            fabric=self._fabric(),
            width_by=next((name for name in ("body", "finished", "top") if self.options.get(name)), "finished"),
            notes=tuple(self.notes),
        )

    def _kind(self) -> Kind:
        name = self.options.get("kind")
        name = as_listed(name, KINDS) or name
        known = [kind.name for kind in KINDS.values() if not kind.kicks]
        if name is None:
            guessed = next(
                (kind for kind, sign in (("tuck", "gap"), ("box", "face")) if self.options.get(sign)), "knife"
            )
            self.notes.append(f"No kind was given: these are {noun(KINDS[guessed])}s.")
            return KINDS[guessed]
        if name not in known:
            limit = (
                "a kick pleat stands alone in a seam, and there is nothing to share out"
                if name in KINDS
                else near_names(name, known)
            )
            raise RequestError(option("kind"), f"is '{cut_short(name)}'", limit, f"Give {', '.join(known)}.")
        return KINDS[name]

    def _finished(self) -> Length | None:
        finished, top, body = self._length("finished"), self._length("top"), self._length("body")
        ease = self._length("ease")
        if ease is not None and body is None:
            raise RequestError(
                option("ease"), "is given without a body's measure", "it is added to one", self._give("body", "70cm")
            )
        if body is not None:
            whole = Length(body.mm + (ease.mm if ease is not None else 0.0), body.unit)
            if finished is not None:
                raise self._both("finished", "body", "the finished width is the body's measure and its ease")
            if ease is not None:
                self.notes.append(f"Finished width: {body} of the body and {ease} of ease are {whole}.")
            finished = whole
        if finished is not None and top is not None and abs(finished.mm - top.mm) > 1e-9:
            raise RequestError(
                message("{} and {}", option("top"), option("finished" if body is None else "body")),
                f"are {top} and {finished}",
                "the top of a gore is its finished width",
                "Keep one of the two.",
            )
        finished = finished if finished is not None else top
        if finished is not None and finished.mm <= 0:
            raise RequestError("The finished width", f"is {finished}", "it is more than nothing", "Check the measures.")
        return finished

    def _intake(self, kind: Kind) -> tuple[float | None, bool]:
        intake, depth = self._above("intake"), self._above("depth")
        if intake is not None and depth is not None:
            raise self._both("intake", "depth", "one follows from the other")
        if depth is not None:
            return depth * kind.to_before.depths_taken, True
        return intake, False

    def _ends(self) -> Ends:
        margin, typed = self._from_nothing("margin"), self.options.get("ends")
        if typed is not None and self.options.get("margin") is not None:
            raise self._both("ends", "margin", "both say what is left at the ends")
        if self._flag("ring") and (typed is not None or self.options.get("margin") is not None):
            raise self._both("ring", "ends" if typed is not None else "margin", "a ring has no ends")
        if self._flag("ring") and self.options.get("plain") is not None:
            raise self._both("ring", "plain", "pleats that close all round leave nothing plain")
        if self.options.get("margin") is not None:
            return Ends(0.0, margin)
        if typed is None or typed.strip().casefold() == "half":
            return HALF_SPACES
        if typed.strip().casefold() == "full":
            return Ends(1.0)
        return Ends(0.0, self._from_nothing("ends"))

    def _level(self, typed: str) -> tuple[str, float]:
        name, equals, length = typed.partition("=")
        if not equals or not name.strip():
            raise RequestError(
                option("balance"), f"is '{cut_short(typed)}'", "it is a level's name and its width", "Write 'hip=96cm'."
            )
        return " ".join(name.split()), self._positive("balance", length)

    def _lap(self, kind: Kind) -> str | None:
        lap = self.options.get("lap")
        lap = as_listed(lap, LAPS) or lap
        if lap is not None and lap not in LAPS:
            raise RequestError(
                option("lap"),
                f"is '{cut_short(lap)}'",
                near_names(lap, list(LAPS)),
                f"Give {', '.join(LAPS)}: the way the folds point, right side up.",
            )
        return lap if kind.needs_lap else None

    def _repeat_start(self) -> float | None:
        if self.options.get("repeat_start") is None:
            return None
        if self.options.get("repeat") is None:
            raise RequestError(option("repeat_start"), "is given without a repeat", "", self._give("repeat", "8cm"))
        return self._from_nothing("repeat_start")

    def _fabric(self) -> Fabric:
        pieces = self.options.get("cut")
        if pieces is not None and not 1 <= pieces <= MOST_PLEATS:
            raise RequestError(
                option("cut"), f"is {pieces}", f"from 1 to {MOST_PLEATS} pieces are cut", "Give how many."
            )
        have, width = self._above("have"), self._above("cloth_width")
        if have is not None and (width is None or self.options.get("length") is None):
            raise RequestError(
                option("have"),
                "is given, but not how wide the cloth is or how long the piece",
                "both are needed to tell whether it is enough",
                message("Give {} and {} with it.", option("cloth_width"), option("length")),
            )
        return Fabric(
            width=width,
            length=self._above("length"),
            have=have,
            bottom=self._above("bottom"),
            allowances=self._allowances(),
            nap=self._flag("nap"),
            pieces=pieces or 1,
        )

    def _allowances(self) -> Allowances:
        known = ("left side", "right side", "top", "hem")
        found = dict.fromkeys(known, 0.0)
        given = [str(one) for one in self.options.get("allowance") or ()]
        plain = [one for one in given if "=" not in one]
        if len(plain) > 1:
            raise RequestError(
                option("allowance"),
                f"is given twice, {plain[0]} and {plain[1]}",
                "one holds for every edge",
                message("Name the edge of the other, as in {}.", option("allowance", "hem=4cm")),
            )
        typed: list[str] = []
        for one in sorted(given, key=lambda text: "=" in text):
            edge, equals, length = one.partition("=") if "=" in one else ("", "", one)
            mm = self._from_nothing("allowance", length)
            name = " ".join(edge.split()).casefold()
            names = known if not equals else ("left side", "right side") if name in ("sides", "side") else (name,)
            if names[0] not in found:
                raise RequestError(
                    option("allowance"),
                    f"names the edge '{cut_short(edge)}'",
                    near_names(name, [*known, "sides"]),
                    "Write 'hem=4cm'; or 15mm for every edge.",
                )
            found |= dict.fromkeys(names, mm)
            typed += [f"{each} = {length.strip()}" for each in names] if equals else [length.strip()]
        return Allowances(found["left side"], found["right side"], found["top"], found["hem"], tuple(typed))

    def _count(self) -> int | None:
        count: int | None = self.options.get("count")
        if count is not None and not 1 <= count <= MOST_PLEATS:
            raise RequestError(
                option("count"), f"is {count}", f"from 1 to {MOST_PLEATS} pleats are planned", "Give how many you want."
            )
        return count

    def _length(self, name: str, typed: str | None = None) -> Length | None:
        text = self.options.get(name) if typed is None else typed
        if text is None or (PLAN_OPTIONS[name].many and typed is None):
            return None
        words = option(name)
        roll = _BY_THE_ROLL.fullmatch(text.strip())
        if roll is None:
            return parse_length(text, words)
        unit, times = ("cm", 100) if roll["metres"] else ("in", 36)
        length = parse_length(f"{roll['number']}{unit}", words)
        if abs(length.mm) * times > LONGEST:
            raise RequestError(words, f"is {text}", "lengths here go up to 100 m", "Check the number and its unit.")
        return Length(length.mm * times, unit)

    def _above(self, name: str) -> float | None:
        return None if self.options.get(name) is None else self._positive(name)

    def _positive(self, name: str, typed: str | None = None) -> float:
        length = self._length(name, typed)
        assert length is not None
        if length.mm <= 0:
            raise RequestError(option(name), f"is {length}", "it is more than nothing", "Give a length above 0.")
        return length.mm

    def _from_nothing(self, name: str, typed: str | None = None) -> float:
        length = self._length(name, typed)
        if length is not None and length.mm < 0:
            raise RequestError(
                option(name), f"is {length}", "it cannot be less than nothing", "Give a length of 0 or more."
            )
        return 0.0 if length is None else length.mm

    def _word(self, name: str) -> str | None:
        word = self.options.get(name)
        known = list(PLAN_OPTIONS[name].words)
        word = as_listed(word, known) or word
        if word is not None and word not in known:
            raise RequestError(option(name), f"is '{cut_short(word)}'", near_names(word, known), "Give one of these.")
        return word

    def _flag(self, name: str) -> bool:
        return bool(self.options.get(name))

    @staticmethod
    def _give(name: str, value: str) -> str:
        return message("Give {} with it.", option(name, value))

    @staticmethod
    def _both(first: str, second: str, why: str) -> RequestError:
        return RequestError(
            message("{} and {}", option(first), option(second)), "are both given", why, "Keep one of the two."
        )

    @staticmethod
    def _refuse_without(wrong: bool, name: str, kind: Kind, why: str) -> None:
        if wrong:
            raise RequestError(
                option(name),
                f"is given for {noun(kind)}s",
                why,
                message("Leave {} out, or change {}.", option(name), option("kind")),
            )
