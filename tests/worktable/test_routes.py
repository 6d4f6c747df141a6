"""What each request of the page gets, without a server."""

from __future__ import annotations

import datetime

import pytest

from batiksim.document.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.worktable import routes
from batiksim.worktable.session import Session


@pytest.fixture
def session(tmp_path, on_disk, build):
    """A session with one cloth, its titles in words; it is closed at the end."""
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun"), title="Tide"), name="tide")
    made = Session(tmp_path, folder)
    yield made
    made.close()


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
