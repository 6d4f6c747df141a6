"""How the worktable is started: its address, who may ask there, the browser, and a port that is taken."""

from __future__ import annotations

import pytest

from batiksim.errors import BatikError
from batiksim.worktable import run as module
from batiksim.worktable.run import serve


@pytest.fixture
def started(tmp_path, monkeypatch):
    """started(**options) : what was said, opened and served; the server itself ends at once."""
    (tmp_path / "home").mkdir()

    class Timer:
        def __init__(self, seconds, function, given):
            self.start = lambda: function(*given)

    def start(**options):
        said, opened, served, sessions = [], [], [], []

        def make_app(session, **keys):
            sessions.append(session)
            return keys

        def run(server, sockets):
            served.append((server.config, [listening.getsockname() for listening in sockets]))
            for listening in sockets:
                listening.close()

        monkeypatch.setattr(module, "make_app", make_app)
        monkeypatch.setattr(module.uvicorn.Server, "run", run)
        monkeypatch.setattr(module.threading, "Timer", Timer)
        monkeypatch.setattr(module.webbrowser, "open", opened.append)
        try:
            serve(None, home=tmp_path / "home", say=said.append, **options)
        finally:
            for session in sessions:
                session.close()
        ((config, sockets),) = served
        return said, opened, config, sockets

    return start


def test_the_address_that_is_told_is_the_one_that_listens(started):
    (address,), opened, config, ((host, port),) = started()
    assert host == "127.0.0.1"
    assert config.app["hosts"] == [f"127.0.0.1:{port}", f"localhost:{port}"]
    assert address == f"http://127.0.0.1:{port}/#{config.app['token']}"
    assert opened == [address]


def test_every_run_has_a_secret_of_its_own(started):
    tokens = {started(browser=False)[2].app["token"] for _ in range(3)}
    assert len(tokens) == 3
    assert min(len(token) for token in tokens) >= 32  # of six bits each


def test_no_browser_where_none_is_wanted(started):
    said, opened, *_ = started(browser=False)
    assert len(said) == 1
    assert opened == []


def test_nothing_tells_what_serves_or_who_asked(started):
    config = started(browser=False)[2]
    assert not config.access_log
    assert not config.server_header
    assert config.ws == "none"


def test_a_port_that_is_taken_leaves_nothing_behind(started, tmp_path, monkeypatch):
    closed = []
    monkeypatch.setattr(module.Session, "close", lambda session: closed.append(session._scratch.cleanup()))
    with module._listen(0) as taken, pytest.raises(BatikError, match="port: .* can't be used"):
        started(port=taken.getsockname()[1])
    assert len(closed) == 1


def test_all_is_handed_to_the_session_and_what_is_opened_is_told(tmp_path, started, monkeypatch):
    made = []
    real = module.Session
    monkeypatch.setattr(module, "Session", lambda home, design: made.append((home, design)) or real(home, design))
    started(browser=False)
    assert made == [(tmp_path / "home", None)]


def test_a_design_that_is_none_is_told_before_anything_listens(started, tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_listen", lambda port: pytest.fail("it listens"))
    with pytest.raises(BatikError, match="there is no such design"):
        serve(tmp_path / "nowhere", home=tmp_path / "home", say=print)
