"""What is planned and printed from the page: bounds of every number, and which job gets what."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from batiksim import jobs as real
from batiksim.document.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.worktable import long_jobs
from batiksim.worktable.long_jobs import LONG_JOBS
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
