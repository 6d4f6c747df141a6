"""What is planned and printed from the page: bounds of every number, and which job gets what."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from PIL import Image

from batiksim import jobs as real
from batiksim.changes.request_fields import RequestFields
from batiksim.document.uploads.clicked_patches import strip_text
from batiksim.errors import BatikError
from batiksim.values import Cloth, Design
from batiksim.worktable import long_jobs
from batiksim.worktable.long_jobs import LONG_JOBS
from batiksim.worktable.session import Session
from batiksim.worktable.tasks import TaskResult

WORKSHOP = {"makers": 12, "room_c": 21, "measures": "metric"}
HANDOUT = {"paper": "a4", "makers": 12, "room_c": 21}


@pytest.fixture
def jobs(monkeypatch):
    """Every job that is called, by its name, with what it was given, and where its result was saved."""
    called = {}

    class Jobs:
        WorkshopRequest, HandoutOptions = real.WorkshopRequest, real.HandoutOptions

        def __getattr__(self, name):
            def job(*given, **keys):
                called[name] = (given, keys)
                return SimpleNamespace(
                    data=lambda: {"of": name},
                    save=lambda out: called.update({f"{name}.save": out}),
                    **{"sheets": 2, "pages": 3, "notes": ("n",)},
                    **{"parts": ["part"], "planned": "planned", "cloths": ["first"]},
                )

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
        ("workshop", WORKSHOP, "room_c", 5, 40),
        ("handout", HANDOUT, "makers", 1, 500),
        ("handout", HANDOUT, "room_c", 5, 40),
    ],
)
def test_bounds(session, kind, good, key, lowest, highest):
    for value in (lowest, highest):
        assert LONG_JOBS[kind](session, RequestFields(good | {key: value}))
    for value in (lowest - 1, highest + 1):
        with pytest.raises(BatikError, match=f"^{key}: out of range .*from {lowest} to {highest}"):
            LONG_JOBS[kind](session, RequestFields(good | {key: value}))


def test_a_workshop(session, jobs, tmp_path):
    made, steps = work(session, "workshop", tmp_path, **WORKSHOP, sessions="2x2h")
    given, keys = jobs["workshop"]
    assert given == (session.document.file(),)
    assert keys.pop("progress")
    assert keys == {"makers": 12, "room_c": 21.0, "sessions": "2x2h", "measures": "metric"}
    assert jobs["workshop.save"] == tmp_path / "workshop.pdf"
    assert made.data == {"blocks": ["part"]}
    assert steps == [(1, 1, "laying out the sheet")]
    work(session, "workshop", tmp_path, **WORKSHOP)
    assert "sessions" not in jobs["workshop"][1]
    for measures in ("us", "imperial", "all"):
        work(session, "workshop", tmp_path, **(WORKSHOP | {"measures": measures}))
    with pytest.raises(BatikError, match="measures: isn't one of the choices"):
        work(session, "workshop", tmp_path, **(WORKSHOP | {"measures": "ell"}))


@pytest.mark.parametrize("risk", [True, False])
def test_a_handout(session, jobs, tmp_path, risk):
    made, steps = work(session, "handout", tmp_path, **HANDOUT, risk=risk, one_page=True)
    given, keys = jobs["handout"]
    asked = {"makers": 12, "room_c": 21.0, "paper": "a4"}
    assert given == (session.document.file(), tmp_path / "handout.pdf")
    assert keys.pop("progress")
    assert keys == asked | {"one_page": True}
    assert ("risk" in jobs) is risk
    assert steps == ([(1, 1, "laying out the risk sheet")] if risk else [])
    assert made.data == {}
    with pytest.raises(BatikError, match="paper: isn't one of the choices"):
        work(session, "handout", tmp_path, **(HANDOUT | {"paper": "a3"}))
    if risk:
        assert jobs["risk"] == ((session.document.file(), tmp_path / "risk.pdf"), asked)


def test_tracing_sheets(session, jobs, tmp_path):
    made, _ = work(session, "tracing", tmp_path, paper="letter", mirror=True)
    assert made.data == {"sheets": 2, "pages": 3, "notes": ["n"]}
    given, keys = jobs["trace"]
    assert given == (session.document.file(), tmp_path)
    assert (keys["paper"], keys["mirror"]) == ("letter", True)


def test_orders(session, jobs, tmp_path):
    made, steps = work(session, "orders", tmp_path, derive=True)
    (file,), keys = jobs["orders"]
    assert (file, keys["derive"], keys["tune"]) == (session.document.file(), True, False)
    assert made.value.cloths == ["first"]
    assert (made.data, jobs["orders.save"]) == ({"of": "orders"}, tmp_path)
    assert steps == [(1, 1, "drawing the sheet")]
    given, keys = jobs["save_cloth_picture"]
    assert (given, keys) == (("first", tmp_path / "order-1.png"), {"width_px": 320})


def test_only_a_finished_ranking_is_opened(session):
    session.tasks = SimpleNamespace(
        get=lambda key: SimpleNamespace(kind="handout", result=TaskResult(data={})), close=lambda: None
    )
    with pytest.raises(BatikError, match="^these orders aren't ranked yet"):
        long_jobs.open_order(session, "k", 1)
    session.tasks = SimpleNamespace(get=lambda key: SimpleNamespace(kind="orders", result=None), close=lambda: None)
    with pytest.raises(BatikError, match="^these orders aren't ranked yet"):
        long_jobs.open_order(session, "k", 1)


def test_an_order_becomes_a_cloth_of_its_own(session, monkeypatch):
    written = []
    ordered = SimpleNamespace(
        design=session.document.design, write=lambda folder, *, rank: written.append((folder, rank))
    )
    task = SimpleNamespace(kind="orders", result=TaskResult(data={}, value=ordered))
    session.tasks = SimpleNamespace(get=lambda key: task, close=lambda: None)
    opened = []
    monkeypatch.setattr(session, "open", opened.append)
    long_jobs.open_order(session, "k", 2)
    assert written == [(session.home / "tide-order-2", 2)]
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
        session.document.stack.number,
        "Tide",
    )
    assert unchanged()
    session.document.change([{"do": "set_title", "title": "Other"}])
    assert not unchanged()
    with pytest.raises(BatikError, match="kind: isn't one of the choices"):
        long_jobs.start(session, RequestFields({"kind": "drawing"}))


def test_a_sample_has_no_folder_for_a_book(tmp_path):
    sample = Session(tmp_path, None)
    with pytest.raises(BatikError, match="^this is still a sample"):
        long_jobs._own_book(sample)
    sample.close()


# From a picture


PICTURE = {"steps": 3, "pots": 2, "width_mm": 300, "colour": "#eeeedd"}


@pytest.fixture
def photo(session, tmp_path):
    """photo(name) : the key of a white photo of 80 x 60 pixels, sent under that name."""

    def send(name="leaf.png"):
        Image.new("RGB", (80, 60), "white").save(tmp_path / "sent.png")
        return session.photos.take(tmp_path / "sent.png", name)["key"]

    return send


@pytest.fixture
def planned(monkeypatch):
    """What is planned of a picture and saved of it; nothing is worked out."""
    calls = {}
    made = SimpleNamespace(
        cloth="cloth",
        report=SimpleNamespace(miss=3.456),
        names=["sea", "sun"],
        save=lambda folder: calls.update(saved=folder),
    )

    def plan(*given, **keys):
        calls["plan"] = (given, keys)
        return made

    monkeypatch.setattr(real, "from_picture", plan)
    monkeypatch.setattr(real, "save_cloth_picture", lambda *given: calls.update(picture=given))
    return calls


def test_a_new_cloth_from_a_picture(session, photo, planned, tmp_path):
    key = photo("my-leaf_1.jpg")
    made, steps = work(session, "from-picture", tmp_path, photo=key, **PICTURE)
    assert made.data == {"design": "my-leaf-1", "title": "my leaf 1", "dyeings": 2, "off": 3.5}
    given, keys = planned["plan"]
    assert given == (session.photos.get(key).file,)
    assert steps == [(1, 1, "writing the new cloth")]
    keys.pop("progress")(1, 2, "planning")
    assert steps[-1] == (1, 2, "planning")
    assert keys == {
        "steps": 3, "pots": 2, "width_mm": 300.0, "dyes": "demo", "cloth": "#eeeedd", "title": "my leaf 1"
    }  # fmt: skip
    assert planned["saved"] == session.home / "my-leaf-1"
    assert planned["picture"] == ("cloth", tmp_path / "cloth.png")


def test_a_picture_whose_name_says_nothing(session, photo, planned, tmp_path):
    made, _ = work(session, "from-picture", tmp_path, photo=photo("_-.png"), **PICTURE)
    assert (made.data["title"], made.data["design"]) == ("From a picture", "from-a-picture")


def test_the_cloths_own_dyes_are_taken_where_there_are_any(session, photo, planned, tmp_path):
    work(session, "from-picture", tmp_path, photo=photo(), own_dyes=True, **PICTURE)
    assert planned["plan"][1]["dyes"] == session.document.file()
    session.create(Design(title="Bare", cloth=Cloth(width_mm=100)))
    work(session, "from-picture", tmp_path, photo=photo(), own_dyes=True, **PICTURE)
    assert planned["plan"][1]["dyes"] == "demo"


@pytest.mark.parametrize(("key", "lowest", "highest"), [("steps", 1, 6), ("pots", 1, 3), ("width_mm", 10, 20_000)])
def test_bounds_of_a_cloth_from_a_picture(session, photo, key, lowest, highest):
    good = PICTURE | {"photo": photo()}
    for value in (lowest, highest):
        assert LONG_JOBS["from-picture"](session, RequestFields(good | {key: value}))
    for value in (lowest - 1, highest + 1):
        with pytest.raises(BatikError, match=f"^{key}: out of range .*from {lowest} to {highest}"):
            LONG_JOBS["from-picture"](session, RequestFields(good | {key: value}))


# Learning dyes from a photo


@dataclass
class Calibrated:
    """Stands in for what a calibration found."""

    changes: object
    notes: tuple[object, ...] = ("a note",)

    def data(self):
        return {"notes": list(map(str, self.notes)), "more": 1}


class Learnt:
    """Stands in for a calibration. error : what is raised; replaced : names of dyes that the book has anew."""

    def __init__(self, monkeypatch):
        self.calls, self.error, self.changes, self.strips = [], None, None, []
        monkeypatch.setattr(real, "calibrate", self.calibrate)

    def calibrate(self, book, **keys):
        self.calls.append((book, keys))
        self.strips.append(keys["strip"].read_text(encoding="utf-8"))
        if self.error is not None:
            raise self.error(keys)
        return Calibrated(self.changes)


@pytest.fixture
def learnt(monkeypatch):
    return Learnt(monkeypatch)


def clicks(key, *more, **entries):
    patches = [{"x": 0.5, "y": 0.5, "side": 0.1, "dyes": {"sun": 1}}, *more]
    return {"photo": key, "cloth": "#f1ede2", "patches": patches} | entries


CARD = {"x": 0.2, "y": 0.5, "side": 0.1, "card": True}


def test_clicked_patches_teach_the_cloths_own_book(session, photo, learnt, tmp_path):
    key = photo()
    entries = clicks(key)
    made, steps = work(session, "calibrate", tmp_path, **entries)
    ((book, keys),) = learnt.calls
    assert book == session.home / "tide" / "my-dyes.toml"
    assert keys == {
        "picture": session.photos.get(key).file, "strip": tmp_path / "strip.toml", "overwrite": False, "dry_run": False
    }  # fmt: skip
    assert learnt.strips == [strip_text((60, 80), RequestFields(entries), cloth_assumed=True)]
    assert steps == [(0, 1, "reading leaf.png")]
    assert made.data == {"more": 1, "notes": [str(long_jobs.COTTON_TAKEN), "a note"]}
    work(session, "calibrate", tmp_path, **clicks(key, dry_run=True, replace=True))
    assert (learnt.calls[1][1]["overwrite"], learnt.calls[1][1]["dry_run"]) == (True, True)


def test_cotton_is_taken_only_where_nothing_says_what_cloth_it_is(session, photo, learnt, tmp_path):
    key = photo()
    card, _ = work(session, "calibrate", tmp_path, **clicks(key, CARD))
    assert card.data["notes"] == ["a note"]
    assert "assumed = true" in learnt.strips[-1], "the card tells it, the maker hasn't"
    session.document.change([{"do": "set_cloth", "colour": "#f1ede2"}])
    known, _ = work(session, "calibrate", tmp_path, **clicks(key))
    assert known.data["notes"] == ["a note"]
    assert "assumed = false" in learnt.strips[-1]


def test_dyes_that_the_book_has_anew_are_seen_at_once(session, photo, learnt, tmp_path, monkeypatch):
    anew = []
    monkeypatch.setattr(session.document, "replace_own_dyes", anew.append)
    monkeypatch.setattr(long_jobs, "own_dyes", lambda document: {"of": document.design.title})
    for changes in (None, SimpleNamespace(replaced=[]), SimpleNamespace(replaced=["sun"])):
        learnt.changes = changes
        work(session, "calibrate", tmp_path, **clicks(photo()))
    assert anew == [{"of": "Tide"}]


@pytest.mark.parametrize(("place", "named"), [("strip", True), ("picture", True), ("other", False)])
def test_what_is_wrong_with_a_photo_is_told_of_it(session, photo, learnt, tmp_path, place, named):
    learnt.error = lambda keys: BatikError(
        "photo.error.card_is_black", file=keys.get(place, "my-dyes.toml"), field="card", fix="error.no_choices"
    )
    with pytest.raises(BatikError) as caught:
        work(session, "calibrate", tmp_path, **clicks(photo()))
    error = caught.value
    assert error.problem.key == "photo.error.card_is_black"
    if named:
        assert (error.file, error.field) == ("leaf.png", None)
        assert "brighter" in str(error.fix)
    else:
        assert (error.file, error.field, error.fix.key) == ("my-dyes.toml", "card", "error.no_choices")


def test_only_a_cloth_that_is_open_here_is_taught(session, photo, learnt, tmp_path, monkeypatch):
    def refuse():
        raise BatikError("worktable.error.not_ranked")

    monkeypatch.setattr(session.document, "check_here", refuse)
    with pytest.raises(BatikError, match="^these orders aren't ranked yet"):
        work(session, "calibrate", tmp_path, **clicks(photo()))
    work(session, "calibrate", tmp_path, **clicks(photo(), dry_run=True))
    assert len(learnt.calls) == 1


# What is handed on


@pytest.mark.parametrize(
    ("kind", "name", "entries"),
    [
        ("workshop", "workshop", WORKSHOP),
        ("handout", "handout", HANDOUT),
        ("tracing", "trace", {"paper": "a4"}),
        ("orders", "orders", {}),
    ],
)
def test_progress_of_the_work_itself_is_told(session, jobs, tmp_path, kind, name, entries):
    _, steps = work(session, kind, tmp_path, **entries)
    jobs[name][1]["progress"](3, 4, "halfway")
    assert steps[-1] == (3, 4, "halfway")


def test_parts_of_a_workshop_and_of_a_ranking_are_told(session, monkeypatch, tmp_path):
    pictures = []
    workshop = SimpleNamespace(parts=["a heading"], save=lambda out: pictures.append(("workshop", out)))
    ordered = SimpleNamespace(
        planned="planned",
        cloths=["first", "second"],
        data=lambda: {"ranked": True},
        save=lambda out: pictures.append(("orders", out)),
    )
    monkeypatch.setattr(real, "workshop", lambda *given, **keys: workshop)
    monkeypatch.setattr(real, "orders", lambda *given, **keys: ordered)
    monkeypatch.setattr(
        real, "save_cloth_picture", lambda cloth, file, width_px: pictures.append((cloth, file.name, width_px))
    )
    made, _ = work(session, "workshop", tmp_path, **WORKSHOP)
    assert made.data == {"blocks": ["a heading"]}
    ranked, _ = work(session, "orders", tmp_path, tune=True)
    assert (ranked.data, ranked.value) == ({"ranked": True}, ordered)
    assert pictures == [
        ("workshop", tmp_path / "workshop.pdf"),
        ("orders", tmp_path),
        ("planned", "order-0.png", 320),
        ("first", "order-1.png", 320),
        ("second", "order-2.png", 320),
    ]


def test_an_order_is_of_the_cloth_as_it_is_saved(session, monkeypatch):
    """What was changed just now is on disk before the order is written: it is compared with that."""
    saved = []
    order = SimpleNamespace(
        design=session.document.design, write=lambda folder, *, rank: saved.append(session.document.saved)
    )
    task = SimpleNamespace(kind="orders", result=TaskResult(data={}, value=order))
    monkeypatch.setattr(session.tasks, "get", lambda key: task)
    monkeypatch.setattr(session, "open", lambda folder: None)
    session.document.change([{"do": "set_title", "title": "Two"}])
    long_jobs.open_order(session, "k", 1)
    assert saved == [1]
