"""The command line. Before anything else is imported for it, Ctrl-C is answered: that takes most of a short command."""

from __future__ import annotations


def run() -> None:
    """Run the command line in this process, and leave it by SystemExit; cf. `pleatsvg.cli.main.run`."""
    from pleatsvg.cli.main import run as run_commands

    run_commands()


def program() -> None:
    """Run the command line as a program of its own, and end it."""
    # Until Ctrl-C is answered it waits in the system: even the next import takes long enough to be hit.
    import _signal  # type: ignore[import-not-found]

    if hasattr(_signal, "pthread_sigmask"):
        _signal.pthread_sigmask(_signal.SIG_BLOCK, (_signal.SIGINT,))
    from pleatsvg.stopping import leave, watch

    watch()
    from contextlib import suppress

    from pleatsvg.cli.main import run as run_commands
    from pleatsvg.saying import flush

    code: object = 1
    try:
        run_commands()
    except SystemExit as left:
        code = left.code
    with suppress(Exception):  # it was told already, or whoever was to read it has gone
        flush()
    leave(code if isinstance(code, int) else 0 if code is None else 1)
