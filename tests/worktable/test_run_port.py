"""The port that the worktable listens on."""

from __future__ import annotations

import errno
import os
import socket

import pytest

from batiksim.errors import BatikError
from batiksim.worktable.run import _listen


def test_a_port_that_is_free_or_taken():
    with _listen(0) as first:
        host, port = first.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(BatikError, match=f"^port: {port} can't be used: .*leave the option out"):
            _listen(port)
        with pytest.raises(BatikError) as taken:
            _listen(port)
        assert dict(taken.value.problem.parts) == {"got": str(port), "reason": os.strerror(errno.EADDRINUSE)}
        if os.name == "posix":
            assert first.getsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR), "the same again right after a stop"
        with socket.create_connection((host, port), timeout=10):
            pass
    with pytest.raises(BatikError, match="port: 70000 can't be used: .*65535.*leave the option out"):
        _listen(70_000)
