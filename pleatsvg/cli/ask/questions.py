"""What is asked of a person who wants a piece pleated: a handful of questions, none that the drawing answers.

Every answer is tried on the piece before the next question is asked, and so is every answer that is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property, partial
from pathlib import Path
from typing import Any

from pleatsvg.api import measure
from pleatsvg.cli.ask.answers import Asker
from pleatsvg.errors import FitError, OutputError, PleatError, RequestError, listed, near_names
from pleatsvg.job import pleat_piece
from pleatsvg.kinds import KINDS
from pleatsvg.length import MM_PER, parse_length, show
from pleatsvg.order.line_names import options_in, unit_said
from pleatsvg.order.options import LAPS, OPTIONS
from pleatsvg.order.piece_order import order_from
from pleatsvg.piece.edges import lower_word
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.measuring import Measured
from pleatsvg.pleats.requests import lines_across, lines_by_number
from pleatsvg.saying import say
from pleatsvg.wholefile import refuse_output

Given = dict[str, Any]
"""Options of 'pleat' as typed, by their names."""


_TRIAL = "4mm"
"""An intake that fits nearly anywhere: with it everything else can be tried before the intake is known."""


_TRIAL_HEIGHT = "2cm"
"""Of a kick pleat, in the same way."""


_NARROW = 1.02
"""A hem that is longer than the top by less than this counts as straight, and lines that are placed run square to the top."""


_OFFERED = {
    "cm": {
        "knife": "6cm",
        "box": "12cm",
        "inverted": "12cm",
        "kick": "10cm",
        "tuck": "2cm",
        "pin-tuck": "4mm",
        "height": "20cm",
        "allowance": "15mm",
        "hem": "4cm",
        "apart": "6cm",
    },
    "in": {
        "knife": "2 1/2in",
        "box": "5in",
        "inverted": "5in",
        "kick": "4in",
        "tuck": "3/4in",
        "pin-tuck": "1/8in",
        "height": "8in",
        "allowance": "5/8in",
        "hem": "1 1/2in",
        "apart": "2 1/2in",
    },
}
"""What is offered where nothing else speaks, as it is met in the trade."""


def wanted(drawing: Path, pieces: Sequence[FinishedPiece], named: str | None, asker: Asker) -> Given:
    """Ask what is wanted, and return it as options.

    Args:
        drawing: its file.
        pieces: that were found on it, at least one.
        named: the piece's name, where it was given with the command.
        asker: asks.

    Raises:
        NoAnswerError: there is no answer to be had.
        PleatError: the drawing cannot be pleated, whatever is wanted.
    """
    given: Given = {}
    if named is not None:
        given["piece"] = named
    say("Press Enter for the answer in brackets; ? explains.")
    piece = pieces[0]
    if len(pieces) > 1:
        piece = _piece(pieces, asker)
        given["piece"] = piece.name
    return _Questions(drawing, piece, given, asker).all_of_them()


def _piece(pieces: Sequence[FinishedPiece], asker: Asker) -> FinishedPiece:
    names = [piece.name for piece in pieces]
    say(f"The drawing holds {len(pieces)} pieces: {listed(names)}.")

    def check(answer: str) -> FinishedPiece:
        found = [piece for piece in pieces if piece.name.casefold() == answer.casefold()]
        if not found:
            raise RequestError(
                f"'{answer}'", "is no piece of it", near_names(answer, names), "Give one of these names."
            )
        return found[0]

    return asker.ask("Which piece", names[0], check, "One piece is pleated at a time; 'pleatsvg batch' makes many.")


class _Questions:
    def __init__(self, drawing: Path, piece: FinishedPiece, given: Given, asker: Asker) -> None:
        self.drawing = drawing
        self.piece = piece
        self.given = given
        self.asker = asker
        self.found: Measured = measure(piece)
        self.upright = self.found.upright
        self.unit = "cm"
        self.says: list[dict[str, Any]] = []  # what the name of each line that is to be used says

    def all_of_them(self) -> Given:
        if self.piece.only_cut:
            self._drawn_allowance()
        self._lines()
        said = unit_said([line.name for line in self.piece.slashes])
        self.unit = said if said in _OFFERED else self.unit
        self._kind()
        self._height()
        self._way()
        self._intake()
        self._allowance()
        self._output()
        return self._complete(self.given)

    # Of the lines ------------------------------------------------------------------------------------------------

    def _lines(self) -> None:
        names = [line.name for line in self.piece.slashes]
        if not names:
            self._places()
        elif len(names) > 1:
            quoted = [f"'{name}'" for name in names]
            say(f"{self.piece.name}: {len(names)} slash lines, {listed(quoted)}.")
            more = (
                "A slash line is where a pleat is to be. 'all', or some of them by their names or their numbers, with a\n"
                "comma between: 1, 3"
            )
            self._tell_of_others()
            self.given |= self._ask("Along which lines", "all", self._chosen, more)
        elif self._tell_of_others():
            more = "Its name, 'all' for it alone, or several names with a comma between."
            self.given |= self._ask("Along which lines", "all", self._chosen, more)
        else:
            self._chosen("all")

    @cached_property
    def _others(self) -> list[str]:
        # Lines that run across as slash lines do, without their name.
        known = set(self.piece.slashes)
        return [line.name for line in lines_across(self.piece, self.unit) if line not in known]

    def _tell_of_others(self) -> bool:
        if self._others:
            quoted = [f"'{name}'" for name in self._others]
            say(
                f"Straight across as well, but not named as a slash line: {listed(quoted)}. To pleat there too, give its name."
            )
        return bool(self._others)

    def _chosen(self, answer: str) -> Given:
        names = [line.name for line in self.piece.slashes]
        if answer.casefold() == "all":
            return self._tried(names, {})
        plain = {name.casefold(): name for name in [*self._others, *names]}
        chosen: list[str] = []
        for word in [" ".join(word.split()) for word in answer.split(",") if word.strip()]:
            numbered = lines_by_number(self.piece, int(word), self.unit) if word.isdecimal() and len(word) < 7 else []
            name = plain.get(word.casefold()) or next((line.name for line in numbered), None)
            if name is None:
                raise RequestError(
                    f"'{word}'", "is no slash line of this piece", near_names(word, names), "Or say all."
                )
            chosen.append(name)
        chosen = list(dict.fromkeys(chosen)) or names
        return self._tried(chosen, {"slash": chosen})

    def _tried(self, names: list[str], chosen: Given) -> Given:
        # A name that says where the line lies, as "slash left 2", says nothing of its pleat.
        self.says = [said if set(said) != {"lap"} else {} for said in map(options_in, names)]
        self._try_any(chosen)
        return chosen

    def _places(self) -> None:
        self.says = [{}]
        across = self._fits(lambda: self._try_any({"slash": ["all"]}))
        top = next((edge for edge in self.found.edges if edge.name == "top"), self.found.edges[0])
        hem = next((edge for edge in self.found.edges if edge.name == "hem"), top)
        number = max(1, round(top.length / parse_length(_OFFERED[self.unit]["apart"]).mm))
        say(f"{self.piece.name}: no line is named as a slash line, so pleats are placed along the {top.name}.")
        more = "So many pleats share out the edge at equal spaces, half a space at its ends."
        if across:
            more += "\nOr all: the straight lines that run across the piece as drawn."

        def check(answer: str) -> Given:
            chosen: Given = {"slash": ["all"]}
            if not across or answer.casefold() != "all":
                if not (answer.isascii() and answer.isdecimal() and len(answer) < 7):
                    raise RequestError(
                        f"'{answer}'", "is no number of pleats", "", "Give how many you want, in digits."
                    )
                chosen = {"count": answer} | ({"run": "fan"} if hem.length > _NARROW * top.length else {})
            self._try_any(chosen)
            return chosen

        question = f"How many pleats at equal spaces{', or all for the lines drawn across' if across else ''}"
        self.given |= self._ask(question, "all" if across else str(number), check, more)

    # Of the pleats -----------------------------------------------------------------------------------------------

    def _kind(self) -> None:
        if all("kind" in said for said in self.says):
            return
        *first, last = KINDS
        more = "\n".join([f"{kind.name}: {kind.about}" for kind in KINDS.values()])

        def check(answer: str) -> str:
            kind = answer.casefold().replace(" ", "-")
            if kind not in KINDS:
                raise RequestError(f"'{answer}'", "is no kind of pleat", near_names(kind, list(KINDS)), "Give one.")
            self._try_any({"kind": kind})
            return kind

        question = f"Which kind of pleat{self._for_the_others('kind')}: {', '.join(first)} or {last}"
        fit = (kind for kind in KINDS if self._fits(partial(self._try_any, {"kind": kind})))
        offered = next(fit, "knife")
        self.given["kind"] = self._ask(question, offered, check, more)

    @property
    def _ways(self) -> tuple[str, ...]:
        return ("left", "right", "centre", "sides") if self.upright else ("down", "up")

    def _kinds(self, asked: Given | None = None) -> list[str]:
        kind = (self.given if asked is None else asked).get("kind")
        return [str(said.get("kind") or kind or "") for said in self.says]

    def _height(self) -> None:
        if self._height_is_open(self._kinds()):
            more = "How high the pleat opens, measured up from the hem; above it the line is a seam."
            self.given["height"] = self._length(
                "How high is it, up from the hem", self._offers("height"), "height", more
            )

    def _way(self) -> None:
        if not self._way_is_open(self._kinds()):
            return
        ways = self._ways
        more = (
            "The way the outer fold points, as you look at the right side of the cloth. Folds that point left lie right over\n"
            "left; towards the centre, or to the sides, those of the two halves face each other or look away."
        )

        def check(answer: str) -> str:
            way = answer.casefold().replace("center", "centre")
            if way not in ways:
                raise RequestError(
                    f"'{answer}'", "is no way to point", near_names(way, list(ways)), "Give one of these."
                )
            self._try({"lap": way})
            return way

        question = f"Which way do the folds point{self._for_the_others('lap')}: {', '.join(ways[:-1])} or {ways[-1]}"
        self.given["lap"] = self._ask(question, self._first_that_fits("lap", ways), check, more)

    def _height_is_open(self, kinds: Iterable[str]) -> bool:
        pairs = zip(kinds, self.says, strict=True)
        return any(kind and KINDS[kind].kicks and "height" not in said for kind, said in pairs)

    def _way_is_open(self, kinds: Iterable[str]) -> bool:
        pairs = zip(kinds, self.says, strict=True)
        return any(kind and KINDS[kind].needs_lap and "lap" not in said for kind, said in pairs)

    def _intake(self) -> None:
        if all("intake" in said or "depth" in said for said in self.says):
            return
        kind = next(k for k, said in zip(self._kinds(), self.says, strict=True) if not {"intake", "depth"} & set(said))
        more = (
            "The intake is the flat width that one pleat takes up: twice the depth of a knife pleat, four times that of a box\n"
            "or inverted one. 'depth 3cm' gives the depth instead. If the drawing is the flat cloth that you have, not the\n"
            "finished piece, 'to 72cm' folds it together until its top seam comes to that, and finds the intake."
        )

        def check(answer: str) -> Given:
            word, _, rest = answer.partition(" ")
            name = {"to": "finish_to", "depth": "depth", "intake": "intake"}.get(word.casefold(), "intake")
            length = rest.strip() if name == word.casefold() or word.casefold() == "to" else answer
            self.unit = self._unit_of(length, f"The {OPTIONS[name].name.replace('_', ' ')}")
            self._try({name: length})
            return {name: length}

        offers = self._offers(kind)
        depth, width = ("2 cm", "72 cm") if self.unit == "cm" else ("1 in", "28 in")
        say(
            f"You may also give its depth, as in 'depth {depth}', or what flat cloth is to come to, as in 'to {width}'."
        )
        question = f"How much cloth does each {KINDS[kind].noun}{self._for_the_others('intake')} take up"
        self.given |= self._ask(question, self._first_that_fits("intake", offers), check, more)

    def _for_the_others(self, name: str) -> str:
        return " for the lines whose names do not say it" if any(name in said for said in self.says) else ""

    # Of the piece ------------------------------------------------------------------------------------------------

    def _drawn_allowance(self) -> None:
        say(f"{self.piece.name}: the outline drawn is the cutting line.")
        more = "The seam is drawn so far inside it, and everything is reckoned from the seam."
        self.given["allowance_drawn"] = self._length(
            "How much seam allowance does it include", self._offers("allowance"), "allowance_drawn", more
        )

    def _allowance(self) -> None:
        if self.piece.only_cut or self.piece.cut is not None or self.piece.earlier is not None:
            return
        more = "The cutting line is drawn so far outside the seam. 0 draws none."
        everywhere = self._length(
            "Seam allowance on every edge, 0 for none", self._offers("allowance"), "allowance", more, none=True
        )
        if everywhere is None:
            return
        self.given["allowance"] = [everywhere]
        edges = self.found.edges
        if any(edge.name == "hem" for edge in edges) and lower_word(edges) == "hem":
            more = "What is turned up at the hem, its own turning included."
            hem = self._ask("And at the hem", self._first_that_fits("hem", self._offers("hem")), self._hem, more)
            self.given["allowance"] = [everywhere, hem]

    def _hem(self, answer: str) -> str:
        self._unit_of(answer, "The hem allowance")
        pair = f"hem={answer}"
        self._try({"allowance": [*self.given["allowance"], pair]})
        return pair

    def _output(self) -> None:
        beside = self.drawing.with_name(f"{self.drawing.stem}-flat.svg")
        number = 2
        while beside.exists():
            beside = self.drawing.with_name(f"{self.drawing.stem}-flat-{number}.svg")
            number += 1

        def check(answer: str) -> Path:
            output = Path(answer)
            if not output.suffix:
                output = output.with_suffix(".svg")
            if output.suffix.casefold() != ".svg":
                raise OutputError(
                    f"'{answer}'", "does not end in .svg", "a result is an SVG file", "Give another name."
                )
            if output.exists():
                raise OutputError(
                    f"'{answer}'", "is there already", "nothing is written over here", "Give another name."
                )
            refuse_output(output, False, self.drawing)
            return output

        more = "The name of a new file; your drawing is left as it is."
        self.given["output"] = self._ask("What is the result to be called", str(beside), check, more)

    # How it is asked ---------------------------------------------------------------------------------------------

    def _ask(self, question: str, offered: str, check: Callable[[str], Any], more: str) -> Any:
        return self.asker.ask(question, offered, check, more)

    def _length(self, question: str, offers: Iterable[str], name: str, more: str, none: bool = False) -> str | None:
        def check(answer: str) -> str | None:
            if none and answer.casefold() in ("0", "no", "none"):
                return None
            self.unit = self._unit_of(answer, f"The {name.replace('_', ' ')}")
            if name != "allowance_drawn":  # nothing can be tried before it is known
                self._try({name: [answer] if OPTIONS[name].many else answer})
            return answer

        offered = self._first_that_fits(name, offers) if name != "allowance_drawn" else next(iter(offers))
        found: str | None = self._ask(question, offered, check, more)
        return found

    def _unit_of(self, text: str, what: str) -> str:
        unit = parse_length(text, what).unit
        return "in" if unit == "in" else "cm"

    def _offers(self, name: str) -> list[str]:
        # What is offered, and less of it where that does not fit.
        first = _OFFERED[self.unit][name]
        length = parse_length(first)
        step = 1 if self.unit == "cm" else float(MM_PER["in"]) / 8
        shares = [round(length.mm * share / step) * step for share in (0.75, 0.5, 0.25, 0.1)]
        return [first, *[show(mm, self.unit).replace(" cm", "cm").replace(" in", "in") for mm in shares if mm > 0]]

    def _first_that_fits(self, name: str, offers: Iterable[str]) -> str:
        every = list(offers)
        for one in every:
            value = [*self.given["allowance"], f"hem={one}"] if name == "hem" else [one] if name == "allowance" else one
            if self._fits(partial(self._try, {"allowance" if name == "hem" else name: value})):
                return one
        return every[0]

    def _fits(self, trial: Callable[[], None]) -> bool:
        try:
            trial()
        except PleatError:
            return False
        return True

    def _try(self, more: Given) -> None:
        """Pleat the piece, in memory, as it has been asked so far; what is not known yet is something that fits."""
        asked = {**self.given, **more}
        asked.pop("piece", None)
        kinds = self._kinds(asked)
        if "lap" not in asked and self._way_is_open(kinds):
            asked["lap"] = self._ways[0]
        if "height" not in asked and self._height_is_open(kinds):
            asked["height"] = _TRIAL_HEIGHT
        measured = {"intake", "depth", "finish_to"} & set(asked)
        if not measured and any(not {"intake", "depth"} & set(said) for said in self.says):
            asked["intake"] = _TRIAL
        asked = self._complete(asked)
        if "count" in asked:
            asked["count"] = int(asked["count"])
        self.upright = pleat_piece(self.piece, order_from(**asked)).lines.upright

    def _try_any(self, more: Given) -> None:
        """Try it with whatever kind and way to point will do, where these are asked later; cf. `_try`."""
        wrong: PleatError | None = None
        for trial in self._trials(more):
            try:
                self._try(trial)
            except (FitError, RequestError) as error:  # what is wrong with the drawing is so with every kind
                wrong = wrong or error
                continue
            return
        if wrong is not None:
            raise wrong

    def _trials(self, more: Given) -> Iterator[Given]:
        known = {**self.given, **more}
        open_ = "kind" not in known and any("kind" not in said for said in self.says)
        for kind in [{"kind": name} for name in KINDS] if open_ else [{}]:
            if "lap" not in known and self._way_is_open(self._kinds({**known, **kind})):
                yield from [{**more, **kind, "lap": way} for way in LAPS]
            else:
                yield {**more, **kind}

    def _complete(self, asked: Given) -> Given:
        """Return options that are an order by themselves, as they must be where any of them speaks of pleats.

        Where the names of lines say the rest, what one of them says fills it in; each name goes over the options anyway.
        """
        if not {"kind", "intake", "depth", "lap", "height", "finish_to"} & set(asked):
            return asked
        whole = dict(asked)
        for name in ("kind", "intake", "depth", "lap", "height"):
            if name in ("intake", "depth") and {"intake", "depth", "finish_to"} & set(whole):
                continue
            said = next((said[name] for said in self.says if name in said), None)
            if name not in whole and said is not None:
                whole[name] = said
        return whole
