"""``python -m pleatsvg`` does what ``pleatsvg`` does."""

from pleatsvg.cli import run

if __name__ == "__main__":
    run()
