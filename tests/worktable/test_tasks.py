"""Tasks: one at a time, told of, stopped when asked, the last of them kept."""

from __future__ import annotations

import threading
from collections import Counter

import pytest

from batiksim.errors import BatikError
from batiksim.worktable import tasks
from batiksim.worktable.tasks import SourceCloth, TaskResult, Tasks


class Heard:
    """What pages hear of tasks, to be waited for."""

    def __init__(self):
        self.events = []
        self.news = threading.Condition()

    def __call__(self, event):
        with self.news:
            self.events.append(event)
            self.news.notify_all()

    def until(self, key, *states):
        with self.news:
            assert self.news.wait_for(lambda: self.last(key)["state"] in states, 60)
            return self.last(key)

    def last(self, key):
        return next((one for one in reversed(self.events) if one["key"] == key), {"state": None})


@pytest.fixture
def heard():
    return Heard()


@pytest.fixture
def run(tmp_path, heard):
    """Start work; its task."""
    made = Tasks(tmp_path, heard)

    def start(work, kind="orders", unchanged=lambda: True):
        return made.start(kind, work, of=SourceCloth(document=1, design_number=4, title="Tide"), unchanged=unchanged)

    start.tasks = made
    yield start
    made.close()


def test_a_task_from_start_to_end(run, heard):
    def work(folder, progress):
        (folder / "b.pdf").write_text("b")
        (folder / "a.pdf").write_text("a")
        progress(1, 3, "drawing")
        return TaskResult(data={"count": 2}, value="kept")

    task = run(work)
    told = heard.until(task.key, "done")
    assert told == {
        "kind": "task", "key": task.key, "work": "orders", "state": "done", "at": 1, "whole": 3, "what": "drawing",
        "problem": None, "files": ["a.pdf", "b.pdf"], "of": {"document": 1, "design_number": 4, "title": "Tide"},
        "data": {"count": 2}, "left_out": [],
    }  # fmt: skip
    assert run.tasks.get(task.key).result.value == "kept"
    states = [event["state"] for event in heard.events]
    assert states == ["working", "working", "done"]
    assert heard.events[0]["files"] == []
    assert heard.events[1]["data"] is None


def test_a_cloth_that_changed_meanwhile_has_no_number(run, heard):
    task = run(lambda folder, progress: TaskResult(data={}), unchanged=lambda: False)
    assert heard.until(task.key, "done")["of"] == {"document": 1, "design_number": None, "title": "Tide"}


def test_what_the_maker_can_mend_is_told(run, heard):
    def work(folder, progress):
        raise BatikError("worktable.error.not_ranked", fix="worktable.error.no_dyes.fix")

    told = heard.until(run(work).key, "failed")
    assert told["problem"] == "these orders aren't ranked yet; add a dye first"
    assert told["files"] == []


def test_a_task_stops_at_its_next_step(run, heard):
    begun, go = threading.Event(), threading.Event()

    def work(folder, progress):
        begun.set()
        go.wait()
        progress(1, 2, "more")
        return TaskResult(data={})

    task = run(work)
    begun.wait()
    run.tasks.cancel(task.key)
    assert heard.last(task.key)["state"] == "stopping"
    go.set()
    assert heard.until(task.key, "stopped")["data"] is None
    run.tasks.cancel(task.key)  # too late, and no harm
    assert heard.last(task.key)["state"] == "stopped"


def test_a_task_stopped_in_its_last_step_makes_nothing(run, heard):
    begun, go = threading.Event(), threading.Event()

    def work(folder, progress):
        begun.set()
        go.wait()
        return TaskResult(data={"made": 1})

    task = run(work)
    begun.wait()
    run.tasks.cancel(task.key)
    go.set()
    assert heard.until(task.key, "stopped", "done")["state"] == "stopped"
    assert task.result is None


def test_a_new_task_of_a_kind_takes_the_place_of_the_one_before(run, heard):
    begun, go = threading.Event(), threading.Event()

    def work(folder, progress):
        begun.set()
        go.wait()
        progress(0, 0, "")
        return TaskResult(data={})

    first = run(work)
    begun.wait()
    other = run(work, kind="handout")
    second = run(lambda folder, progress: TaskResult(data={}))
    go.set()
    assert heard.until(first.key, "stopped", "done")["state"] == "stopped"
    assert heard.until(second.key, "stopped", "done")["state"] == "done"
    assert heard.until(other.key, "stopped", "done")["state"] == "done"


def test_the_last_twenty_are_kept(run, heard, monkeypatch):
    monkeypatch.setattr(tasks, "MOST_KEPT", 3)
    made = []
    for _ in range(5):
        made.append(run(lambda folder, progress: TaskResult(data={})))
        heard.until(made[-1].key, "done")
    kept = [task.folder.exists() for task in made]
    assert kept == [False, False, True, True, True]
    assert run.tasks.get(made[2].key) is made[2]
    for task in made[:2]:
        with pytest.raises(BatikError, match="^this task is no longer here; start it again"):
            run.tasks.get(task.key)


def test_one_task_is_worked_on_at_a_time(run, heard):
    busy, most = Counter(), []

    def work(folder, progress):
        busy["now"] += 1
        most.append(busy["now"])
        progress(0, 1, "")
        busy["now"] -= 1
        return TaskResult(data={})

    for task in [run(work, kind=kind) for kind in "abcd"]:
        heard.until(task.key, "done")
    assert most == [1, 1, 1, 1]


def held(begun, go):
    """Work that goes on until it is let go."""

    def work(folder, progress):
        begun.set()
        go.wait()
        return TaskResult(data={})

    return work


def test_a_task_that_is_stopped_while_it_waits_never_begins(run, heard):
    begun, go, other = threading.Event(), threading.Event(), threading.Event()
    first = run(held(begun, go))
    begun.wait()
    waiting = run(held(other, go), kind="handout")
    assert waiting.state == "waiting"
    assert waiting.data()["files"] == []
    run.tasks.cancel(waiting.key)
    assert heard.last(waiting.key)["state"] == "stopping"
    go.set()
    heard.until(first.key, "done")
    assert heard.until(waiting.key, "stopped", "done")["state"] == "stopped"
    assert not other.is_set()


def test_at_the_end_all_are_asked_to_stop(run, heard):
    begun, go = threading.Event(), threading.Event()
    tasks = [run(held(begun, go), kind=kind) for kind in "ab"]
    begun.wait()
    run.tasks.close()
    go.set()
    assert {heard.until(task.key, "stopped", "done")["state"] for task in tasks} == {"stopped"}


def test_a_task_that_is_done_stays_so(run, heard):
    task = run(lambda folder, progress: TaskResult(data={"made": 1}))
    heard.until(task.key, "done")
    run.tasks.cancel(task.key)
    assert (task.state, heard.last(task.key)["state"]) == ("done", "done")
    with pytest.raises(BatikError, match="^this task is no longer here"):
        run.tasks.cancel("nowhere")


def test_what_went_wrong_in_the_worktable_is_told_and_seen_in_its_window(run, heard, tmp_path):
    """The thread shows where; here the work is done in the test's own."""
    folder = tmp_path / "odd"
    folder.mkdir()
    of = SourceCloth(document=1, design_number=4, title="Tide")
    task = tasks.Task(key="odd", kind="orders", folder=folder, of=of, unchanged=lambda: True)
    assert task.data()["state"] == "waiting"
    assert (task.data()["at"], task.data()["whole"], task.data()["what"]) == (0, 0, "")

    def work(folder, progress):
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        run.tasks._run(task, work)
    assert heard.last("odd")["state"] == "failed"
    assert heard.last("odd")["problem"].startswith("Something went wrong in the worktable")


def test_of_those_that_ended_however_the_oldest_go_and_none_that_is_under_way(run, heard, monkeypatch):
    """Two may be kept. The first goes on all the time; then one failed, one was stopped, one is done."""
    monkeypatch.setattr(tasks, "MOST_KEPT", 2)

    def failing(folder, progress):
        raise BatikError("worktable.error.not_ranked")

    ended = [run(failing, kind="a")]
    heard.until(ended[0].key, "failed")
    begun, go = threading.Event(), threading.Event()
    going = run(held(begun, go), kind="b")
    begun.wait()
    assert ended[0].folder.exists(), "two there are"
    stopped = run(held(begun, go), kind="c")
    assert not ended[0].folder.exists()
    run.tasks.cancel(stopped.key)
    go.set()
    heard.until(stopped.key, "stopped")
    heard.until(going.key, "done")
    last = run(lambda folder, progress: TaskResult(data={}), kind="d")
    heard.until(last.key, "done")
    assert [task.folder.exists() for task in (going, stopped, last)] == [False, True, True]


def test_twenty_are_kept(run, heard):
    made = []
    for _ in range(22):
        made.append(run(lambda folder, progress: TaskResult(data={})))
        heard.until(made[-1].key, "done")
        if len(made) == 1:
            made[0].folder.rmdir()  # what is gone already does no harm
    assert [task.folder.exists() for task in made] == [False] * 2 + [True] * 20
