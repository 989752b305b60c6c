"""A terminal in this process, in a folder of its own."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from pleatsvg.cli import main as cli
from tests.commandline.terminal import Outcome, Terminal


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Terminal:
    """Call the program as from a shell, with the test's own folder as the working folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")

    def call(*words: object) -> Outcome:
        monkeypatch.setattr(sys, "argv", ["pleatsvg", *map(str, words)])
        capsys.readouterr()
        code: object = 0
        try:
            cli.run()
        except SystemExit as left:
            code = left.code
        out, err = capsys.readouterr()
        return Outcome(code if isinstance(code, int) else 0 if code is None else 1, out, err)

    return call
