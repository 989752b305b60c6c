"""A file that stands there whole or not at all: it is written beside its place, and moved there once it is on the disk."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import NamedTuple

from pleatsvg.errors import OutputError
from pleatsvg.wording import message, option

_FLAGS = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


class Begun(NamedTuple):
    """A file that is written, and not yet in its place: where it is to stand, its name beside that, and its open handle."""

    target: str
    beside: str
    handle: int


def refuse_output(target: Path, force: bool, drawing: Path | None = None) -> None:
    """Refuse an output that may not be written, before any work is done.

    Raises:
        OutputError: it is the drawing itself, a folder, in no folder, or there already and not to be written over.
    """
    subject = f"The output '{target.name or target}'"
    if drawing is not None and _same_file(target, drawing):
        raise OutputError(subject, "is the drawing itself", "a drawing is never written over", "Give another name.")
    if target.is_dir():
        raise OutputError(subject, "is a folder", "the result is one file", "Give a file name, such as front-flat.svg.")
    if not target.parent.is_dir():
        raise OutputError(subject, f"would lie in '{target.parent}', which is not there", "", "Make that folder first.")
    if target.exists() and not force:
        raise OutputError(
            subject,
            "is there already",
            "nothing is written over unasked",
            message("Give another name, or add {}.", option("force", True)),
        )


def _same_file(a: Path, b: Path) -> bool:
    try:
        return a.exists() and b.exists() and a.samefile(b)
    except OSError:
        return a.absolute() == b.absolute()


def write_whole(target: Path, data: bytes) -> None:
    """Write a file beside its place and move it there when it is complete and on the disk.

    Raises:
        OutputError: the folder or the disk does not take it.
    """
    begun = begin(target, data)
    try:
        on_disk(begun)
    except BaseException:
        give_up(begun)
        raise
    put_in_place(begun)


def begin(target: str | Path, data: bytes) -> Begun:
    """Write a file beside its place; it may be some time before it is on the disk.

    Raises:
        OutputError: the folder or the disk does not take it.
    """
    begun: Begun | None = None
    try:
        begun = _opened_beside(target)
        done = 0
        while done < len(data):
            done += os.write(begun.handle, data[done:] if done else data)
    except BaseException as error:
        if begun is not None:
            give_up(begun)
        if isinstance(error, OSError):
            raise _not_taken(str(target), error) from None
        raise
    return begun


def on_disk(begun: Begun) -> None:
    """Wait until what was written is on the disk.

    Raises:
        OutputError: the disk does not take it.
    """
    try:
        os.fsync(begun.handle)
    except OSError as error:
        raise _not_taken(begun.target, error) from None


def put_in_place(begun: Begun) -> None:
    """Close the file and move it to its place.

    Raises:
        OutputError: the folder does not take it; nothing is left beside its place.
    """
    try:
        os.close(begun.handle)
        os.replace(begun.beside, begun.target)  # noqa: PTH105, once for every result of a batch
    except OSError as error:
        with contextlib.suppress(OSError):
            Path(begun.beside).unlink(missing_ok=True)
        raise _not_taken(begun.target, error) from None


def give_up(begun: Begun) -> None:
    """Close the file and take it away."""
    with contextlib.suppress(OSError):
        os.close(begun.handle)
    with contextlib.suppress(OSError):
        Path(begun.beside).unlink(missing_ok=True)


def _opened_beside(target: str | Path) -> Begun:
    place = os.fspath(target)
    name = os.path.basename(place)  # noqa: PTH119, as above
    folder = place[: len(place) - len(name)]
    while True:
        beside = f"{folder}.{name}.{os.urandom(4).hex()}.part"
        try:
            return Begun(place, beside, os.open(beside, _FLAGS, 0o666))
        except FileExistsError:
            continue


def _not_taken(target: str, error: OSError) -> OutputError:
    return OutputError(
        f"The output '{os.path.basename(target)}'",  # noqa: PTH119
        f"cannot be written ({error.strerror})",
        "",
        "Check the folder, its permissions and the room on the disk.",
    )
