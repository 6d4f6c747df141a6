"""What each request of the page gets, without a server."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from batiksim.changes.request_fields import RequestFields
from batiksim.document.touchup import TOOL_WIDTHS_MM
from batiksim.document.uploads.pictures import ReadMask
from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, DyeBook, MaskUse
from batiksim.worktable import routes
from batiksim.worktable.session import Superseded


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
    assert asked(session, "change", changes=[{"do": "set_title", "title": "Two"}])["undo"] == "Changed the title"
    assert asked(session, "undo")["title"] == "Tide"
    assert asked(session, "redo")["title"] == "Two"
    session.document.file()
    versions = asked(session, "history")["versions"]
    assert versions[0]["what"] == "Changed the title"
    assert asked(session, "restore", key=versions[-1]["key"])["title"] == "Tide"
    assert asked(session, "touch_up", step=1, points=[[50, 37]], width_mm=10, erase=False)["undo"] == "Drew a stroke"
    assert (
        asked(session, "touch_up", step=1, points=[[50, 37]], width_mm=10, erase=True)["undo"] == "Scraped off a stroke"
    )


@pytest.mark.parametrize(("day", "words"), [(20, "14:05:09"), (19, "19 May, 14:05")])
def test_when_a_version_was(day, words):
    assert routes._when(datetime.datetime(2026, 5, day, 14, 5, 9), datetime.date(2026, 5, 20)) == words


def test_a_look_set_aside(session):
    with pytest.raises(BatikError, match="there is no saved look to compare with"):
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
    with pytest.raises(BatikError, match="there is no cloth called"):
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
    with pytest.raises(BatikError, match="^there are no dyes to mix"):
        asked(session, "match", colour="#aa5533")


def test_tools_and_books(session):
    tools = asked(session, "tools")["tools"]
    assert tools[0] == {"name": "fine_canting", "says": "fine canting", "kind": "canting", "width_mm": 0.8}
    assert len(tools) == 6
    dyes = asked(session, "book")["dyes"]
    assert not any(dye["own"] for dye in dyes)
    assert all(dye["hex"].startswith("#") for dye in dyes)


@pytest.fixture
def jobs(monkeypatch):
    """What each job is called with, by its name; nothing is worked out."""
    called = {}

    class Jobs:
        def __getattr__(self, name):
            def job(*given, **keys):
                called[name] = (given, keys)
                return {"made": name}

            return job

    monkeypatch.setattr(routes, "jobs", Jobs())
    return called


@pytest.mark.parametrize(("route", "describe"), [("regions", "regions_data"), ("findings", "findings_data")])
def test_what_is_told_of_a_design_says_of_which(session, monkeypatch, route, describe):
    given = []

    def data(frames, design, **keys):
        given.append((frames, design.title, keys))
        return {"told": 1}

    monkeypatch.setattr(routes, describe, data)
    asked(session, "change", changes=[{"do": "set_title", "title": "Two"}])
    tried = [{"do": "set_title", "title": "Three"}]
    document = session.document
    assert asked(session, route, changes=tried) == {"told": 1, "document": document.number, "revision": 1}
    assert given[0][:2] == (document.frames, "Three")
    assert given[0][2] == ({"own": {}} if route == "findings" else {})


def test_findings_are_offered_dyes_of_the_makers_own_book(session, monkeypatch):
    rust = BookDye(name="rust", colour="#aa5533")
    write_book(DyeBook(name="my-dyes.toml", title="Mine", entries=(rust,)), session.home / "tide" / "my-dyes.toml")
    monkeypatch.setattr(routes, "findings_data", lambda frames, design, own: {"own": list(own)})
    assert asked(session, "findings")["own"] == ["rust"]
    added = asked(session, "change", changes=[{"do": "add_dye", "name": "rust", "own": True}])
    assert [dye["own"] for dye in added["dyes"]][-1]
    tried = RequestFields({"changes": [{"do": "add_dye", "name": "rust", "own": True}]})
    asked(session, "undo")
    assert routes.design_of(session, tried).dyes[-1].book == "my-dyes.toml"


def test_a_state_takes_over_what_is_free_and_reads_books_anew(session, monkeypatch):
    told = []
    monkeypatch.setattr(session, "take_over", lambda: told.append("cloth"))
    monkeypatch.setattr(session, "reread_books", lambda: told.append("books"))
    session._pages = {"a": None, "b": None}
    assert asked(session, "state")["pages"] == 2
    assert told == ["cloth", "books"]
    session._pages = {}


def test_a_spot_is_told_in_shares_and_in_millimetres(session, jobs):
    """The cloth is 100 mm wide and 40 x 30 pixels: 75 mm high."""
    told = asked(session, "spot", x=0.25, y=0.4, step=2)
    assert told == {"made": "spot_data", "x": 0.25, "y": 0.4, "x_mm": 25.0, "y_mm": pytest.approx(30.0)}
    (planes, x, y), _ = jobs["levels_at"]
    assert (planes.shape, x, y) == ((1, 30, 40), 0.25, 0.4)
    (design, dyes, levels), keys = jobs["spot_data"]
    assert (design, dyes) == (session.document.design, session.document.frames.dyes(design))
    assert (levels, keys) == ({"made": "levels_at"}, {"step": 2})
    asked(session, "spot", x=0, y=1)
    assert jobs["spot_data"][1] == {"step": None}
    asked(session, "spot", x=1, y=0, step=0, changes=[{"do": "set_title", "title": "Tried"}])
    assert (jobs["spot_data"][0][0].title, jobs["spot_data"][1]) == ("Tried", {"step": 0})


def test_a_spot_of_a_large_cloth_is_read_off_smaller_masks(session, jobs, monkeypatch):
    for most, cols in ((20, 20), (40, 40), (41, 40)):
        monkeypatch.setattr(routes, "ASK_PX", most)
        asked(session, "spot", x=0, y=0)
        assert jobs["levels_at"][0][0].shape[2] == cols


@pytest.mark.parametrize(
    ("route", "good", "key", "lowest", "highest"),
    [
        ("spot", {"x": 0.5, "y": 0.5}, "x", 0, 1),
        ("spot", {"x": 0.5, "y": 0.5}, "y", 0, 1),
        ("spot", {"x": 0.5, "y": 0.5}, "step", 0, 2),
        ("touch_up", {"step": 1, "points": [[5, 5]], "width_mm": 5}, "paint", 1, 200),
        ("touch_up", {"step": 1, "points": [[5, 5]]}, "width_mm", 0.1, 200),
        ("create", {"title": "x"}, "width_mm", 10, 20_000),
    ],
)
def test_bounds_of_numbers(session, jobs, route, good, key, lowest, highest):
    for value in (lowest, highest):
        asked(session, route, **(good | {key: value}))
    for value in (lowest - (0.01 if key in ("x", "y", "width_mm") else 1), highest + 1):
        with pytest.raises(BatikError, match=f"{key}: out of range .*from {lowest:g} to {highest:g}"):
            asked(session, route, **(good | {key: value}))


@pytest.mark.parametrize(("step", "problem"), [(0, "out of range"), (3, "no such step"), (1001, "out of range")])
def test_a_stroke_is_on_a_step_that_is_there(session, step, problem):
    with pytest.raises(BatikError, match=f"step: .*{problem}"):
        asked(session, "touch_up", step=step, points=[[5, 5]], width_mm=5)


def test_a_stroke_is_handed_on_whole(session, monkeypatch):
    strokes = []
    monkeypatch.setattr(session.document, "touch_up", lambda *given: strokes.append(given))
    asked(session, "touch_up", step=1000, points=[[5, 6], [7, 8.5]], width_mm=5, erase=True, paint=2)
    asked(session, "touch_up", step=1, points=[[5, 6]], width_mm=0.5)
    assert strokes == [(1000, 2, [(5.0, 6.0), (7.0, 8.5)], 5.0, True), (1, None, [(5.0, 6.0)], 0.5, False)]


def test_small_plates_are_from_sixteen_to_four_hundred_pixels_wide(session, monkeypatch):
    monkeypatch.setattr(session.document.frames, "thumbnails", lambda design, width: (design.title, width))
    for width in (16, 400):
        tried = RequestFields({"width": width, "changes": [{"do": "set_title", "title": "Tried"}]})
        assert routes.thumbnails(session, tried) == ("Tried", width)
    for width in (15, 401):
        with pytest.raises(BatikError, match="width: out of range .*from 16 to 400"):
            routes.thumbnails(session, RequestFields({"width": width}))


def test_a_frame_of_what_is_set_aside_is_of_its_last_step_at_most(session, monkeypatch):
    """The one set aside has two steps, the cloth of now has three."""
    shown = []
    monkeypatch.setattr(
        session.document.frames, "frame", lambda design, view: shown.append((len(design.steps), view)) or "pixels"
    )
    asked(session, "set_aside")
    asked(session, "change", changes=[{"do": "add_step", "at": 3, "step": {"kind": "remove_wax"}}])

    def frame(**entries):
        fields = RequestFields({"page": "p", "place": "cloth", "number": 0, "width": 16} | entries)
        assert routes.frame(session, fields) == "pixels"
        count, view = shown[-1]
        return count, view.step

    assert [frame(step=step, set_aside=True) for step in (1, 2, 3)] == [(2, 1), (2, 2), (2, 2)]
    assert [frame(step=3), frame(), frame(set_aside=True)] == [(3, 3), (3, None), (2, None)]


def test_a_frame_that_is_no_longer_wanted_is_not_made_or_not_sent(session, monkeypatch):
    fields = RequestFields({"page": "p", "place": "cloth", "number": 4, "width": 16})
    made = []

    def frame(design, view):
        made.append(view.width)
        session.latest.ask("p", "cloth", 5)

    monkeypatch.setattr(session.document.frames, "frame", frame)
    with pytest.raises(Superseded):
        routes.frame(session, fields)  # a newer one is asked for while it is made
    with pytest.raises(Superseded):
        routes.frame(session, fields)
    assert made == [16]
    for wrong in (-1, 2**53 + 2):
        with pytest.raises(BatikError, match="number: out of range"):
            routes.frame(session, RequestFields({"page": "p", "place": "cloth", "number": wrong, "width": 16}))


def test_the_last_hundred_versions_are_listed(session, monkeypatch):
    when = datetime.datetime(2026, 5, 20, 14, 5, 9)
    versions = [SimpleNamespace(key=f"k{number}", what=f"w{number}", when=when) for number in range(120)]
    monkeypatch.setattr(session.document, "versions", lambda: versions)
    listed = asked(session, "history")["versions"]
    assert listed[0] == {"key": "k0", "what": "w0", "when": "20 May, 14:05"}
    assert (len(listed), listed[-1]["key"]) == (100, "k99")


def test_a_version_of_today_is_told_by_its_time(session):
    asked(session, "change", changes=[{"do": "set_title", "title": "Two"}])
    session.document.file()
    assert {len(version["when"]) for version in asked(session, "history")["versions"]} in ({8}, {13}, {8, 13})


def test_a_new_cloth_has_its_colour_and_its_pictures(session, tmp_path):
    Image.fromarray(np.tile(np.uint8([0, 255]), (30, 20))).save(tmp_path / "sent.png")
    key = session.dropped.take(tmp_path / "sent.png", "stripes.png").key
    wax = {"kind": "wax", "where": {"dropped": {"key": key, "marks": "dark"}}}
    change = {"do": "add_step", "at": 1, "step": wax}
    state = asked(session, "create", title="t" * 200, width_mm=300, colour="#eeeedd", changes=[change])
    assert (state["cloth"]["colour"], state["cloth"]["width_mm"], state["size"]) == (
        "#eeeedd", 300, {"rows": 30, "cols": 40}
    )  # fmt: skip
    assert session.document.masks.full(session.document.design.steps[0].mask)[0, :3].tolist() == [255, 0, 255]
    with pytest.raises(BatikError, match="title: is too long"):
        asked(session, "create", title="t" * 201, width_mm=300)
    assert asked(session, "create", title="Plain", width_mm=300)["cloth"]["colour"] != "#eeeedd"


def test_small_cloths_are_those_of_the_list_or_the_sample(session, monkeypatch):
    monkeypatch.setattr(routes, "small_cloth", lambda folder: folder)
    assert routes.small(session, RequestFields({"name": "tide"})) == session.home / "tide"
    assert routes.small(session, RequestFields({"sample": True})) is None
    with pytest.raises(BatikError, match="there is no cloth called .*choose one from the list"):
        routes.small(session, RequestFields({"name": "../tide"}))


def test_pots_like_a_colour_are_of_the_cloths_own_dyes(session, jobs):
    assert asked(session, "match", colour="#aa5533") == {"made": "pots_like"}
    dyes = session.document.frames.dyes(session.document.design)
    assert jobs["pots_like"] == ((dyes, "#aa5533"), {"count": 4})


def test_a_pot_is_looked_at_by_its_name_of_now_or_as_it_is_tried(session, jobs):
    design = session.document.design
    assert asked(session, "pot", pot="leaf") == {"made": "pot_on_cloth"}
    assert jobs["pot_on_cloth"][0] == (session.document.frames.dyes(design), design.pot("leaf"))
    thinner = [{"do": "set_strength", "pot": "leaf", "strength": 0.3}]
    asked(session, "pot", pot="leaf", changes=thinner)
    assert jobs["pot_on_cloth"][0][1].strength == 0.3
    asked(session, "change", changes=[{"do": "rename_pot", "pot": "leaf", "to": "moss"}])
    asked(session, "pot", pot="leaf")
    assert jobs["pot_on_cloth"][0][1].name == "moss"


def test_a_dropped_picture_is_held_at_the_cloths_size_for_the_next_change(session, tmp_path):
    Image.fromarray(np.tile(np.uint8([0, 255]), (60, 40))).save(tmp_path / "sent.png")
    key = session.dropped.take(tmp_path / "sent.png", "stripes.png").key
    where = asked(session, "use_picture", key=key)["where"]
    assert where["picture"].startswith("masks/stripes-")
    assert where["marks"] == "dark"
    use = MaskUse(**where)
    assert session.document.masks.full(use).shape == (30, 40)
    named = asked(session, "use_picture", key=key, name="n" * 60, marks="light")["where"]["picture"]
    assert named.startswith(f"masks/{'n' * 60}-")
    with pytest.raises(BatikError, match="name: is too long"):
        asked(session, "use_picture", key=key, name="n" * 61)
    asked(session, "create", title="Bare", width_mm=100)
    first = MaskUse(**asked(session, "use_picture", key=key, marks="dark")["where"])
    turned = MaskUse(**asked(session, "use_picture", key=key, marks="light")["where"])
    masks = session.document.masks
    assert masks.full(first).shape == (60, 80), "the first one sets the size"
    assert (masks.full(turned) == 255 - masks.full(first)).all()


def test_how_a_dropped_picture_is_read_is_as_asked(session, tmp_path, monkeypatch):
    Image.new("L", (40, 30), 255).save(tmp_path / "sent.png")
    key = session.dropped.take(tmp_path / "sent.png", "sheet.png").key
    ways = []

    def read(dropped, **how):
        ways.append(how)
        return ReadMask(mask=np.zeros((30, 40), np.uint8))

    monkeypatch.setattr(routes.pictures, "read_dropped", read)
    asked(session, "use_picture", key=key)
    asked(session, "use_picture", key=key, marks="light", clean=True, off_table=True)
    assert ways == [
        {"marks": None, "clean": False, "off_table": False},
        {"marks": "light", "clean": True, "off_table": True},
    ]


def test_long_work_is_begun_stopped_and_opened(session, monkeypatch):
    heard = []
    monkeypatch.setattr(
        routes.long_jobs, "start", lambda *given: SimpleNamespace(data=lambda: {"begun": given[0] is session})
    )
    monkeypatch.setattr(routes.long_jobs, "open_order", lambda *given: heard.append(given))
    monkeypatch.setattr(session.tasks, "cancel", heard.append)
    assert asked(session, "start", kind="handout") == {"begun": True}
    assert asked(session, "cancel", key="k") == {}
    assert asked(session, "open_order", key="k", rank=1)["title"] == "Tide"
    asked(session, "open_order", key="k", rank=1000)
    assert heard == ["k", (session, "k", 1), (session, "k", 1000)]
    for rank in (0, 1001):
        with pytest.raises(BatikError, match="rank: out of range .*from 1 to 1000"):
            asked(session, "open_order", key="k", rank=rank)


def test_tools_are_as_wide_as_a_makers(session):
    tools = {tool["name"]: (tool["kind"], tool["width_mm"]) for tool in asked(session, "tools")["tools"]}
    assert tools == {name: (kind, width) for name, kind, width in TOOL_WIDTHS_MM}
    assert len(asked(session, "book")["dyes"]) > 3
