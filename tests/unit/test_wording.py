"""Options in messages are values: each surface calls them its own way, and no text in the program does so beforehand."""

from __future__ import annotations

import ast
import copy
import pickle
import re
from collections.abc import Iterator

import pytest

from pleatsvg.errors import RequestError
from pleatsvg.order.options import OPTIONS, ROWS, Of, in_job_file, on_command_line
from pleatsvg.plan.options import PLAN_OPTIONS
from pleatsvg.plan.options import ROWS as PLAN_ROWS
from pleatsvg.wording import Words, in_python, message, option, shown, within
from tests.unit.sources import PACKAGE, sources

SAY_FLAGS = [PACKAGE / room / "options.py" for room in ("order", "plan")]

ERROR = RequestError(
    option("stack"),
    message("is {}", 7),
    "five go",
    message("Give {}, or {}.", option("stack", 2), option("pair", True)),
)


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        (on_command_line, "--stack is 7; five go. Give --stack 2, or --pair."),
        (in_job_file, "stack is 7; five go. Give stack = 2, or pair = true."),
        (in_python, "stack is 7; five go. Give stack=2, or pair=True."),
    ],
)
def test_each_surface_calls_an_option_its_own_way(surface: object, words: str) -> None:
    assert ERROR.message.on(surface) == words  # type: ignore[arg-type]


def test_plainly_it_is_what_python_calls_it() -> None:
    assert str(ERROR) == ERROR.message == ERROR.message.on(in_python)
    assert ERROR.about == ("stack",)
    assert ERROR.message.options == ("stack", "stack", "pair")


def test_what_a_drawing_says_is_never_taken_for_an_option() -> None:
    words = message("Slash line '{}' is cut by {}.", "--lap {} left", option("lap"))
    assert words.on(on_command_line) == "Slash line '--lap {} left' is cut by --lap."
    assert words.on(in_job_file) == "Slash line '--lap {} left' is cut by lap."


def test_options_survive_what_messages_go_through() -> None:
    words = message("Give {}.", option("hem_intake", "8cm"))
    for made in (pickle.loads(pickle.dumps(words)), copy.deepcopy(words), words.over(str.upper)):
        assert isinstance(made, Words)
        assert made.on(on_command_line).casefold() == "give --hem-intake 8cm."
    assert shown(within(words), in_job_file) == 'give hem_intake = "8cm"'
    assert shown("as it stands", in_job_file) == "as it stands"


def test_a_name_cut_short_and_a_line_break_are_as_in_plain_text() -> None:
    error = RequestError(message("Slash line '{}' of\n{}", "x" * 300, option("lap")), "is long", "", "Rename it.")
    assert error.element == f"Slash line '{'x' * 97}...' of lap"
    assert error.about == ("lap",)


def texts(nodes: list[ast.AST]) -> Iterator[ast.Constant]:
    """Every text in a source but those that document it."""
    alone = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone:
            yield node


def test_no_message_calls_an_option_by_its_name_on_the_command_line() -> None:
    # Those of a batch itself (--force, --out) are given on its command line and nowhere else.
    flags = {row.flag for row in ROWS if row.of is not Of.COMMAND} | {row.flag for row in PLAN_ROWS} - {"--force"}
    found = [
        f"{path}:{text.lineno}"
        for path, nodes in sources("--")
        if PACKAGE / "cli" not in path.parents and path not in SAY_FLAGS
        for text in texts(nodes)
        if flags & set(re.findall(r"--[a-z][a-z-]*", text.value))
    ]
    assert found == []


def test_every_option_that_a_message_names_has_a_row_and_is_put_in_as_a_value() -> None:
    named: list[str] = []
    for path, nodes in sources("option(", "message("):
        for node in nodes:
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "option":
                (name, *_) = node.args
                if isinstance(name, ast.Constant):
                    named.append(str(name.value))
            if isinstance(node, ast.JoinedStr):  # would make a plain text of it
                calls = [one.func for one in ast.walk(node) if isinstance(one, ast.Call)]
                assert not [c for c in calls if isinstance(c, ast.Name) and c.id in ("option", "message")], path
    assert len(named) > 80
    assert set(named) <= {*OPTIONS, *PLAN_OPTIONS}
