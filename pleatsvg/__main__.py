"""``python -m pleatsvg`` does what ``pleatsvg`` does."""

from __future__ import annotations

from pleatsvg.cli import program

if __name__ == "__main__":
    program()
