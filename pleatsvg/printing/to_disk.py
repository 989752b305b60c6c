"""Printed pages onto the disk, all of them or none."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pleatsvg.errors import OutputError
from pleatsvg.printing.tiled import Tiled
from pleatsvg.wholefile import Begun, begin, give_up, on_disk, put_in_place, refuse_output, write_whole
from pleatsvg.wording import message, option


def refuse_pages(target: Path, form: str, force: bool, inputs: Sequence[Path]) -> None:
    """Refuse an output that may not be written, before any work is done; cf. `refuse_output`.

    Args:
        target: a PDF, or the folder of SVG pages.
        form: "pdf" or "svg".
        force: whether files may be written over.
        inputs: the results.
    """
    if form == "pdf":
        if target.suffix.casefold() in (".svg", ".svgz"):
            raise OutputError(
                f"The output '{target.name}'",
                "is called as an SVG",
                "pages are a PDF, or a folder of SVGs",
                message("Call it .pdf, or add {} and give the name of a folder.", option("format", "svg")),
            )
        refuse_output(target, force, *inputs)
        return
    if target.is_dir():
        return
    if target.exists() or target.is_symlink():
        raise OutputError(
            f"The output '{target.name}'",
            "is a file",
            "each page is an SVG of its own, in a folder",
            "Give the name of a folder.",
        )
    if not target.parent.is_dir():
        raise OutputError(
            f"The output '{target.name}'",
            f"would lie in '{target.parent}', which is not there",
            "",
            "Make that folder first.",
        )


def write_pages(tiled: Tiled, target: Path, force: bool, inputs: Sequence[Path]) -> None:
    """Write pages, all of them or none.

    Args:
        tiled: the pages.
        target, force, inputs: cf. `refuse_pages`.

    Raises:
        OutputError: a file is there already, or cannot be written.
    """
    refuse_pages(target, tiled.order.form, force, inputs)
    if tiled.order.form == "pdf":
        ((_, data),) = tiled.files
        write_whole(target, data)
        return
    made = not target.is_dir()
    if made:
        try:
            target.mkdir()
        except OSError as error:
            raise OutputError(
                f"The output '{target.name}'", f"cannot be made ({error.strerror})", "", "Check the folder around it."
            ) from None
    begun: list[Begun] = []
    try:
        for name, data in tiled.files:
            file = target / f"{name.replace(' ', '-')}.svg"
            refuse_output(file, force, *inputs)
            begun.append(begin(file, data))
        for one in begun:
            on_disk(one)
    except BaseException:
        for one in begun:
            give_up(one)
        if made:
            target.rmdir()
        raise
    for one in begun:
        put_in_place(one.beside, one.target)
