"""Ctrl-C and the system's other ways to stop a program, answered in one place.

Python answers Ctrl-C by raising an exception at whatever line is running. It may land in an import half done, in a
finaliser that only prints it, or between a file and the note of it. So here nothing is raised. The program leaves on
the spot: what is half written is taken away, one line says what stands, and the exit code is 128 plus the signal's
number. Where work must be brought to an end first, `Held` keeps the wish until it is asked for; a second and a third
Ctrl-C then change nothing.

This is imported before anything else, and until it is, Ctrl-C ends in a traceback. So it imports next to nothing.
"""

from __future__ import annotations

# The public module first builds enumerations of its names: most of the time that would pass before Ctrl-C is answered.
import _signal as signal  # type: ignore[import-not-found]
import os
import sys

TYPE_CHECKING = False  # a type checker takes it for true; the real one would be the largest import by far
if TYPE_CHECKING:
    import signal
    from collections.abc import Callable
    from types import FrameType, TracebackType
    from typing import Any, NoReturn
else:
    import _signal as signal  # built in; what the public one adds takes ten times as long as all else here


SIGNALS = tuple([getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)])


class _Wish:
    # What has been asked for in this process, and how it is to be answered.
    def __init__(self) -> None:
        self.watched = False
        self.asked = 0  # the signal that came first
        self.held = 0  # how many `Held` are entered
        self.raises = False  # within `Held.at_once`
        self.last_words: Callable[[], str] = lambda: "Stopped; nothing was written."


_wish = _Wish()


def watch() -> None:
    """From now on leave on the spot when asked to stop, and let through what waits for that.

    Signals that this process was told to ignore stay ignored.
    """
    _wish.watched = True
    _wish.asked = 0
    for number in SIGNALS:
        if signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, _answer)
    _unblock()


def on_leaving(last_words: Callable[[], str]) -> None:
    """Set what is called before leaving: it takes away what is half written and returns the line to be said.

    It is called between any two steps of the program, so it must neither wait nor print.
    """
    _wish.last_words = last_words


def _answer(number: int, frame: FrameType | None) -> None:
    _wish.asked = _wish.asked or number
    if _wish.raises:
        _wish.raises = False
        raise KeyboardInterrupt
    if not _wish.held:
        _leave_on_the_spot(number)


def _leave_on_the_spot(number: int) -> NoReturn:
    _ignore_all()
    words = _wish.last_words()
    try:
        # The buffers of the streams may be in use at this very moment.
        os.write(2, words.encode("ascii", "backslashreplace") + b"\n")
    finally:
        os._exit(128 + number)


def _ignore_all() -> None:
    for number in SIGNALS:
        signal.signal(number, signal.SIG_IGN)


def leave(code: int) -> NoReturn:
    """End the process when all is done and said.

    The interpreter's own end takes a while, in which Ctrl-C ends in a traceback, and has nothing left to do here.
    """
    os._exit(code)


class Held:
    """Within this, a wish to stop is kept until it is asked for.

    Where `watch` was not called, as in a program that calls this one, signals are caught here, and answered as before
    when this is left.
    """

    def __init__(self) -> None:
        self._before: dict[int, Any] = {}
        self._hook: Any = None

    @property
    def asked(self) -> int:
        """The signal that asked to stop, or 0."""
        return _wish.asked

    def __enter__(self) -> Held:
        if not _wish.held and not _wish.watched:
            _wish.asked = 0
            self._before = _caught()
        _wish.held += 1
        self._hook, sys.unraisablehook = sys.unraisablehook, self._unraisable
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        sys.unraisablehook = self._hook
        _wish.held -= 1
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def _unraisable(self, told: Any) -> None:
        # What `at_once` raises may land where it cannot be passed on; the wish is kept all the same.
        if not issubclass(told.exc_type, KeyboardInterrupt):
            self._hook(told)

    def at_once(self) -> AtOnce:
        """Within this, the wish raises KeyboardInterrupt where the program stands: nothing in it must be lost by that."""
        return AtOnce()


def _caught() -> dict[int, Any]:
    before: dict[int, Any] = {}
    for number in SIGNALS:
        found = signal.getsignal(number)
        if found != signal.SIG_IGN and found is not None:
            try:
                before[number] = signal.signal(number, _answer)
            except ValueError:  # only the main thread may ask for them
                break
    return before


class AtOnce:
    """Cf. `Held.at_once`."""

    def __enter__(self) -> None:
        _wish.raises = True
        if _wish.asked:
            _wish.raises = False
            raise KeyboardInterrupt

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        _wish.raises = False


class Unbroken:
    """Within this, inside `Held.at_once`, nothing is raised: the wish is kept until it is asked for again."""

    def __init__(self) -> None:
        self._raised = False

    def __enter__(self) -> None:
        self._raised, _wish.raises = _wish.raises, False

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        _wish.raises = self._raised


class Blocked:
    """Within this, signals to stop wait in the system: for starting a process, which inherits that, until it is ready."""

    def __init__(self) -> None:
        self._before: Any = None

    def __enter__(self) -> None:
        if hasattr(signal, "pthread_sigmask"):
            self._before = signal.pthread_sigmask(signal.SIG_BLOCK, SIGNALS)

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        if self._before is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, self._before)


def ignore() -> None:
    """Leave it to another process to answer: a worker is ended by the one that started it."""
    _ignore_all()
    _unblock()


def _unblock() -> None:
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, SIGNALS)
