"""``python -m pleatsvg`` does what ``pleatsvg`` does."""

from __future__ import annotations

from pleatsvg.cli.main import run

if __name__ == "__main__":
    run()
