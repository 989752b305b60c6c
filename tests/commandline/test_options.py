"""What is typed on the command line reaches what acts on it, option by option."""

from __future__ import annotations

import pytest

from pleatsvg.order.options import Of, Option, Value, taken_by
from tests.commandline.terminal import COMMAND, FIXTURES, KNIFE, Terminal

MEASURED = [
    row
    for row in taken_by("pleat")
    if row.of not in (Of.COMMAND, Of.CHOICE) and row.value not in (Value.FLAG, Value.TEXT)
]


@pytest.mark.parametrize("row", MEASURED, ids=lambda row: row.name)
def test_a_value_that_it_does_not_take_is_refused_under_its_name(row: Option, terminal: Terminal) -> None:
    done = terminal("pleat", FIXTURES / "skirt-front.svg", "-o", "flat.svg", *KNIFE, row.flag, "xyz")
    assert done.code == COMMAND
    assert done.err.startswith(f"{row.flag} is ")
    assert "'xyz'" in done.err
