"""What commands tell while they work."""

from __future__ import annotations

import pytest

from batiksim.cli.report.report import progress_line
from batiksim.cloth.compile_notice import compiling_begins


def lines(capsys):
    return capsys.readouterr().err.splitlines()


@pytest.mark.parametrize("shown", [True, False])
def test_compiling_is_said_once_a_command_and_only_while_it_runs(capsys, shown):
    with progress_line(shown) as progress:
        progress(0, 1, "reading")
        assert lines(capsys) == []
        for _ in range(11):
            compiling_begins()
        (line,) = lines(capsys)
        assert line.startswith("batiksim: preparing the engine for this computer, which happens only once")
    compiling_begins()
    assert lines(capsys) == []
