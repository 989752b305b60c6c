"""The examples in docstrings are run: what they show is what comes out."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "pleatsvg"

WITH_EXAMPLES = sorted(
    ".".join(file.relative_to(PACKAGE.parent).with_suffix("").parts)
    for file in PACKAGE.rglob("*.py")
    if ">>> " in file.read_text(encoding="utf-8")
)


def test_there_are_examples() -> None:
    assert "pleatsvg.length" in WITH_EXAMPLES


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_show_what_comes_out(name: str) -> None:
    failed, tried = doctest.testmod(importlib.import_module(name))
    assert tried
    assert not failed
