"""What the page asks for, as the worktable hands it on: bounds of every number, and which job gets what."""

from __future__ import annotations

import datetime
import socket
from types import SimpleNamespace

import pytest

from batiksim import jobs as real
from batiksim.document.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.worktable import long_jobs, routes
from batiksim.worktable.long_jobs import LONG_JOBS
from batiksim.worktable.run import _listen
from batiksim.worktable.session import Session
from batiksim.worktable.tasks import TaskResult

WORKSHOP = {"makers": 12, "room_c": 21, "measures": "metric"}
HANDOUT = {"paper": "a4", "makers": 12, "room_c": 21}


@pytest.fixture
def session(tmp_path, on_disk, build):
    """A session with one cloth, its titles in words; it is closed at the end."""
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun"), title="Tide"), name="tide")
    made = Session(tmp_path, folder)
    yield made
    made.close()


@pytest.fixture
def jobs(monkeypatch):
    """Every job that is called, by its name, with what it was given; nothing is worked out."""
    called = {}

    class Jobs:
        WorkshopRequest, HandoutOptions = real.WorkshopRequest, real.HandoutOptions

        def __getattr__(self, name):
            def job(*given, **keys):
                called[name] = (given, keys)
                return SimpleNamespace(sheets=2, pages=3, notes=("n",), planned="planned", cloths=["first"])

            return job

    monkeypatch.setattr(long_jobs, "jobs", Jobs())
    return called


def work(session, kind, tmp_path, **entries):
    steps = []
    made = LONG_JOBS[kind](session, RequestFields(entries))(tmp_path, lambda *step: steps.append(step))
    return made, steps


@pytest.mark.parametrize(
    ("kind", "good", "key", "lowest", "highest"),
    [
        ("workshop", WORKSHOP, "makers", 1, 500),
        ("workshop", WORKSHOP, "room_c", -20, 60),
        ("handout", HANDOUT, "makers", 1, 500),
        ("handout", HANDOUT, "room_c", -20, 60),
    ],
)
def test_bounds(session, kind, good, key, lowest, highest):
    for value in (lowest, highest):
        assert LONG_JOBS[kind](session, RequestFields(good | {key: value}))
    for value in (lowest - 1, highest + 1):
        with pytest.raises(BatikError, match=f"{key}: out of range .*from {lowest} to {highest}"):
            LONG_JOBS[kind](session, RequestFields(good | {key: value}))


def test_a_workshop(session, jobs, tmp_path):
    _, steps = work(session, "workshop", tmp_path, **WORKSHOP, sessions="2x2h")
    (file, request), keys = jobs["plan_workshop"]
    assert (file, keys["measures"]) == (session.document.file(), "metric")
    assert request == real.WorkshopRequest(makers=12, room_c=21.0, sessions="2x2h")
    assert jobs["save_workshop"][0][1] == tmp_path / "workshop.pdf"
    assert steps == [(1, 1, "setting the sheet")]
    work(session, "workshop", tmp_path, **WORKSHOP)
    assert jobs["plan_workshop"][0][1].sessions == ""
    for measures in ("us", "imperial", "all"):
        work(session, "workshop", tmp_path, **(WORKSHOP | {"measures": measures}))
    with pytest.raises(BatikError, match="measures: is not a known choice"):
        work(session, "workshop", tmp_path, **(WORKSHOP | {"measures": "ell"}))


@pytest.mark.parametrize("risk", [True, False])
def test_a_handout(session, jobs, tmp_path, risk):
    made, steps = work(session, "handout", tmp_path, **HANDOUT, risk=risk, one_page=True)
    given, keys = jobs["save_handout"]
    options = real.HandoutOptions(paper="a4", one_page=True, learner=False)
    asked_for = real.WorkshopRequest(makers=12, room_c=21.0)
    assert given == (session.document.file(), tmp_path / "handout.pdf", options)
    assert keys["workshop"] == asked_for
    assert ("save_risk" in jobs) is risk
    assert steps == ([(1, 1, "setting the risk sheet")] if risk else [])
    assert made.data == {}
    with pytest.raises(BatikError, match="paper: is not a known choice"):
        work(session, "handout", tmp_path, **(HANDOUT | {"paper": "a3"}))
    if risk:
        assert jobs["save_risk"] == ((session.document.file(), tmp_path / "risk.pdf", options), {"workshop": asked_for})


def test_tracing_sheets(session, jobs, tmp_path):
    made, _ = work(session, "tracing", tmp_path, paper="letter", mirror=True)
    assert made.data == {"sheets": 2, "pages": 3, "notes": ["n"]}
    given, keys = jobs["save_tracing"]
    assert given == (session.document.file(), tmp_path)
    assert (keys["paper"], keys["mirror"]) == ("letter", True)


def test_orders(session, jobs, tmp_path):
    made, steps = work(session, "orders", tmp_path, derive=True)
    (file,), keys = jobs["rank_orders"]
    assert (file, keys["derive"], keys["tune"]) == (session.document.file(), True, False)
    assert made.value.cloths == ["first"]
    assert steps == [(1, 1, "drawing the sheet")]
    given, keys = jobs["save_cloth_picture"]
    assert (given, keys) == (("first", tmp_path / "order-1.png"), {"width_px": 320})


def test_only_a_finished_ranking_is_opened(session):
    session.tasks = SimpleNamespace(
        get=lambda key: SimpleNamespace(kind="handout", result=TaskResult(data={})), close=lambda: None
    )
    with pytest.raises(BatikError, match="task: isn't a finished ranking"):
        long_jobs.open_order(session, "k", 1)
    session.tasks = SimpleNamespace(get=lambda key: SimpleNamespace(kind="orders", result=None), close=lambda: None)
    with pytest.raises(BatikError, match="task: isn't a finished ranking"):
        long_jobs.open_order(session, "k", 1)


def test_an_order_becomes_a_cloth_of_its_own(session, jobs, monkeypatch):
    ordered = SimpleNamespace(project=session.document)
    task = SimpleNamespace(kind="orders", result=TaskResult(data={}, value=ordered))
    session.tasks = SimpleNamespace(get=lambda key: task, close=lambda: None)
    opened = []
    monkeypatch.setattr(session, "open", opened.append)
    long_jobs.open_order(session, "k", 2)
    assert jobs["write_order"] == ((ordered, session.home / "tide-order-2"), {"rank": 2})
    assert opened == [session.home / "tide-order-2"]


def test_a_task_is_of_the_cloth_as_it_is_now(session, monkeypatch):
    began = []
    monkeypatch.setattr(
        session.tasks, "start", lambda kind, made, *, of, unchanged: began.append((kind, of, unchanged))
    )
    long_jobs.start(session, RequestFields({"kind": "tracing", "paper": "a4"}))
    ((kind, of, unchanged),) = began
    assert (kind, of.document, of.design_number, of.title) == (
        "tracing",
        session.document.number,
        session.document.design_number,
        "Tide",
    )
    assert unchanged()
    session.document.change([{"do": "set_title", "title": "Other"}])
    assert not unchanged()
    with pytest.raises(BatikError, match="kind: is not a known choice"):
        long_jobs.start(session, RequestFields({"kind": "drawing"}))


def test_a_sample_has_no_folder_for_a_book(tmp_path):
    sample = Session(tmp_path, None)
    with pytest.raises(BatikError, match="cloth: is still a sample"):
        long_jobs._own_book(sample)
    sample.close()


# Routes


def asked(session, route, **entries):
    return routes.ROUTES[route](session, RequestFields(entries))


def test_changes_undo_and_history(session):
    state = asked(session, "state")
    assert (state["title"], state["undo"], state["redo"], state["pages"], state["sample"]) == (
        "Tide",
        None,
        None,
        0,
        False,
    )
    assert asked(session, "change", changes=[{"do": "set_title", "title": "Two"}])["undo"] == "the title"
    assert asked(session, "undo")["title"] == "Tide"
    assert asked(session, "redo")["title"] == "Two"
    session.document.file()
    versions = asked(session, "history")["versions"]
    assert versions[0]["what"] == "the title"
    assert asked(session, "restore", key=versions[-1]["key"])["title"] == "Tide"
    assert asked(session, "touch_up", step=1, points=[[50, 37]], width_mm=10, erase=False)["undo"] == "a stroke"
    assert asked(session, "touch_up", step=1, points=[[50, 37]], width_mm=10, erase=True)["undo"] == "scraping off"


@pytest.mark.parametrize(("day", "words"), [(20, "14:05:09"), (19, "19 May, 14:05")])
def test_when_a_version_was(day, words):
    assert routes._when(datetime.datetime(2026, 5, day, 14, 5, 9), datetime.date(2026, 5, 20)) == words


def test_a_look_set_aside(session):
    with pytest.raises(BatikError, match="nothing is kept to compare with"):
        routes.design_of(session, RequestFields({"set_aside": True}))
    assert asked(session, "set_aside")["set_aside"]
    asked(session, "change", changes=[{"do": "set_title", "title": "Two"}])
    assert routes.design_of(session, RequestFields({"set_aside": True})).title == "Tide"
    assert routes.design_of(session, RequestFields({})).title == "Two"
    tried = routes.design_of(session, RequestFields({"changes": [{"do": "set_title", "title": "Three"}]}))
    assert (tried.title, session.document.design.title) == ("Three", "Two")
    assert not asked(session, "set_aside", clear=True)["set_aside"]


@pytest.mark.parametrize(
    ("entries", "view"),
    [
        ({"width": 16}, (None, 16, "dry", "D65", False)),
        ({"width": 30_000, "step": 0, "wet": True}, (0, 30_000, "wet", "D65", False)),
        ({"width": 800, "step": 1000, "light": "A", "wax_off": True}, (1000, 800, "dry", "A", True)),
    ],
)
def test_how_a_frame_is_to_be_seen(entries, view):
    made = routes.view_of(RequestFields(entries))
    assert (made.step, made.width, made.look, made.light, made.wax_off) == view


@pytest.mark.parametrize(
    "entries",
    [
        {"width": 15},
        {"width": 30_001},
        {"width": 99, "step": -1},
        {"width": 99, "step": 1001},
        {"width": 99, "light": "moon"},
    ],
)
def test_frames_that_are_none(entries):
    with pytest.raises(BatikError):
        routes.view_of(RequestFields(entries))


def test_cloths_of_the_folder_and_a_new_one(session, on_disk, build):
    on_disk(build.design(build.wax("lines"), title="Other"), name="other")
    assert asked(session, "designs") == {"designs": [{"name": "other", "title": "Other"}], "sample": True}
    assert asked(session, "open", name="other")["title"] == "Other"
    with pytest.raises(BatikError, match="there is no such cloth"):
        asked(session, "open", name="nowhere")
    assert asked(session, "open", sample=True)["sample"]
    assert not asked(session, "designs")["sample"]
    state = asked(
        session, "create", title="New", width_mm=10, changes=[{"do": "add_dye", "name": "ink", "colour": "#111122"}]
    )
    assert (state["title"], state["cloth"]["width_mm"], [dye["name"] for dye in state["dyes"]]) == ("New", 10, ["ink"])
    for width in (9.9, 20_001):
        with pytest.raises(BatikError, match="width_mm: out of range"):
            asked(session, "create", title="x", width_mm=width)
    before = session.document
    with pytest.raises(BatikError):
        asked(session, "create", title="x", width_mm=100, changes=[{"do": "remove_step", "step": 1}])
    assert session.document is before
    asked(session, "create", title="Bare", width_mm=100)
    with pytest.raises(BatikError, match="dyes: has no dyes to mix"):
        asked(session, "match", colour="#aa5533")


def test_tools_and_books(session):
    tools = asked(session, "tools")["tools"]
    assert tools[0] == {"name": "fine canting", "kind": "canting", "width_mm": 0.8}
    assert len(tools) == 6
    dyes = asked(session, "book")["dyes"]
    assert not any(dye["own"] for dye in dyes)
    assert all(dye["hex"].startswith("#") for dye in dyes)


# The port


def test_a_port_that_is_free_or_taken():
    with _listen(0) as first:
        host, port = first.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(BatikError, match=f"--port: can't be used .found {port}.*leave it out for a free one"):
            _listen(port)
        with socket.create_connection((host, port), timeout=10):
            pass
    with pytest.raises(BatikError, match="--port: can't be used"):
        _listen(70_000)
