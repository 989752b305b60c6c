"""The command line."""

from __future__ import annotations

from pleatsvg.cli.main import run

__all__ = ["run"]
