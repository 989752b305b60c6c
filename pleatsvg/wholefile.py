"""A file that stands there whole or not at all: it is written beside its place, and moved there once it is on the disk.

It takes the place of nothing, or of a plain file: a link, a pipe or a device is never replaced by a file.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from pathlib import Path

from pleatsvg.errors import OutputError
from pleatsvg.stopping import on_leaving
from pleatsvg.wording import message, option

_FLAGS = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


LEFTOVER = r"\.(.*\.svg|summary\.(json|csv))\.[a-z0-9_]{8}\.part"
"""The name of a file that is being written in a batch, as a regular expression."""


_LONGEST_KEPT = 60
"""Bytes of the name that a file has while it is written. With what is added it is no longer than any disk takes."""


class Begun:
    """A file that is written, and not yet in its place.

    Attributes:
        target: where it is to stand.
        beside: its name until then.
        handle: while it is open; -1 afterwards.
    """

    __slots__ = ("beside", "handle", "target")

    def __init__(self, target: str, beside: str, handle: int) -> None:
        self.target = target
        self.beside = beside
        self.handle = handle


class _Account:
    # What this process has under way on the disk, and what it has brought to an end.
    def __init__(self) -> None:
        self.under_way: dict[str, str] = {}  # by the name beside; its place, once it is being moved there
        self.written = 0
        self.last = ""


_account = _Account()


def what_stands() -> str:
    """Return in one sentence what this process has written so far."""
    if not _account.written:
        return "Nothing was written."
    name = _quoted(_account.last)
    return f"{name} was written and is whole." if _account.written == 1 else "What was written is whole."


def _quoted(target: str) -> str:
    return f"'{os.path.basename(target)}'"  # noqa: PTH119, of a string


def clear_away() -> None:
    """Take away every file that this process has begun and not put in its place."""
    for beside, place in list(_account.under_way.items()):
        try:
            os.unlink(beside)  # noqa: PTH108, called on leaving
        except FileNotFoundError:
            if place:  # moved there, and not noted yet
                _note(place)
        except OSError:
            pass
    _account.under_way.clear()


def _last_words() -> str:
    clear_away()
    if not _account.written:
        return "Stopped; nothing was written."
    return f"Stopped. {what_stands()}"


on_leaving(_last_words)


def refuse_output(target: Path, force: bool, *inputs: Path) -> None:
    """Refuse an output that may not be written, before any work is done.

    Args:
        target: of the output.
        force: whether a file may be written over.
        inputs: the drawing, and what else is read.

    Raises:
        OutputError: it is an input, a folder, no plain file, in no folder, or there already and not to be written over.
    """
    subject = f"The output '{target.name or target}'"
    if any(_same_file(target, one) for one in inputs):
        raise OutputError(subject, "is the drawing itself", "a drawing is never written over", "Give another name.")
    if os.path.isdir(target):  # noqa: PTH112, never raises
        raise OutputError(subject, "is a folder", "the result is one file", "Give a file name, such as front-flat.svg.")
    if not os.path.isdir(target.parent):  # noqa: PTH112
        raise OutputError(subject, f"would lie in '{target.parent}', which is not there", "", "Make that folder first.")
    if _is_plain_file(os.fspath(target)) and not force:
        raise OutputError(
            subject,
            "is there already",
            "nothing is written over unasked",
            message("Give another name, or add {}.", option("force", True)),
        )


def _same_file(a: Path, b: Path) -> bool:
    try:
        return os.path.samefile(a, b)  # noqa: PTH121
    except (OSError, ValueError):
        return a.absolute() == b.absolute()


def _is_plain_file(target: str) -> bool:
    # False where nothing is there; anything else is refused.
    try:
        mode = os.lstat(target).st_mode
    except FileNotFoundError:
        return False
    except (OSError, ValueError) as error:
        raise _not_taken(target, error) from None
    if not stat.S_ISREG(mode):
        raise OutputError(
            f"The output {_quoted(target)}",
            f"is {kind_of(mode)}",
            "a result takes the place of a plain file or of nothing",
            "Give another name, or move it away.",
        )
    return True


def kind_of(mode: int) -> str:
    """Return in words what something on the disk is.

    Args:
        mode: of `os.stat` or `os.lstat`.
    """
    for test, words in (
        (stat.S_ISREG, "a file"),
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISLNK, "a link"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISSOCK, "a socket"),
    ):
        if test(mode):
            return words
    return "a device"


def write_whole(target: str | Path, data: bytes) -> None:
    """Write a file beside its place and move it there when it is complete and on the disk.

    Raises:
        OutputError: the folder or the disk does not take it, or something that is no plain file stands there.
    """
    begun = begin(target, data)
    try:
        on_disk(begun)
    except BaseException:
        give_up(begun)
        raise
    put_in_place(begun.beside, begun.target)


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
        if isinstance(error, (OSError, ValueError)):
            raise _not_taken(str(target), error) from None
        raise
    return begun


def on_disk(begun: Begun) -> None:
    """Wait until what was written is on the disk, and close it.

    Raises:
        OutputError: the disk does not take it.
    """
    try:
        os.fsync(begun.handle)
        handle, begun.handle = begun.handle, -1
        os.close(handle)
    except OSError as error:
        raise _not_taken(begun.target, error) from None


def put_in_place(beside: str, target: str) -> None:
    """Move a file that is on the disk to its place.

    Args:
        beside, target: cf. `Begun`; another process may have begun it.

    Raises:
        OutputError: the folder does not take it, or something that is no plain file stands there; nothing is left
            beside its place.
    """
    _account.under_way[beside] = ""
    try:
        _is_plain_file(target)
        _account.under_way[beside] = target
        os.replace(beside, target)  # noqa: PTH105, once for every result of a batch
    except (OSError, OutputError) as error:
        _remove(beside)
        raise error if isinstance(error, OutputError) else _not_taken(target, error) from None
    _note(target)
    del _account.under_way[beside]


def _note(target: str) -> None:
    _account.last = target
    _account.written += 1


def hand_over(beside: str) -> None:
    """Leave a file that was begun here to the process that puts it in its place."""
    _account.under_way.pop(beside, None)


def keep_nothing() -> None:
    """Forget what was under way in the process that this one was split off from."""
    _account.under_way.clear()


def give_up(begun: Begun) -> None:
    """Close the file and take it away."""
    handle, begun.handle = begun.handle, -1
    if handle >= 0:
        with contextlib.suppress(OSError):
            os.close(handle)
    _remove(begun.beside)


def _remove(beside: str) -> None:
    with contextlib.suppress(OSError):
        os.unlink(beside)  # noqa: PTH108
    _account.under_way.pop(beside, None)


def _opened_beside(target: str | Path) -> Begun:
    place = os.fspath(target)
    name = os.path.basename(place)  # noqa: PTH119, once for every result of a batch
    folder = place[: len(place) - len(name)]
    while len(os.fsencode(name)) > _LONGEST_KEPT:
        name = name[1 + (len(os.fsencode(name)) - _LONGEST_KEPT) // 4 :]
    while True:
        beside = f"{folder}.{name}.{os.urandom(4).hex()}.part"
        _account.under_way[beside] = ""
        try:
            return Begun(place, beside, os.open(beside, _FLAGS, 0o666))
        except OSError as error:
            _account.under_way.pop(beside, None)
            if not isinstance(error, FileExistsError):
                raise


def _not_taken(target: str, error: OSError | ValueError) -> OutputError:
    reason = error.strerror if isinstance(error, OSError) else "its name cannot be one"
    too_long = isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG
    return OutputError(
        f"The output {_quoted(target)}",
        f"cannot be written ({reason})",
        "",
        "Give a shorter name." if too_long else "Check the folder, its permissions and the room on the disk.",
    )
