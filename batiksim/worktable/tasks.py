"""Work that takes a while: done in a thread of its own, its progress told to the page, stopped when asked."""

import secrets
import shutil
import threading
from collections import OrderedDict
from collections.abc import Callable
from contextvars import copy_context
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, Literal

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.texts.letters import hearing
from batiksim.texts.progress import Progress

MOST_KEPT = 20  # finished tasks whose files stay; older ones have to be made again
State = Literal["waiting", "working", "stopping", "done", "failed", "stopped"]
Notify = Callable[[dict[str, Any]], None]


class _Stopped(Exception):
    """The maker has asked a task to stop."""


@dataclass(frozen=True, kw_only=True)
class TaskResult:
    """What a task made. data : for the page; value : what later requests want of it, for the server alone."""

    data: dict[str, Any]
    value: Any = None


Work = Callable[[Path, Progress], TaskResult]  # given a folder for its files and a way to tell its progress


@dataclass(kw_only=True)
class SourceCloth:
    """Of which cloth something is made, so that the page can say when it has changed since.

    document, design_number : as the state gives them; no number where the cloth changed while it was made
    """

    document: int
    design_number: int | None
    title: str


@dataclass(kw_only=True)
class Task:
    """One piece of work. folder : where its files are made; of : which cloth it is about.

    left_out : notes on letters that no typeface has
    """

    key: str
    kind: str
    folder: Path
    of: SourceCloth
    unchanged: Callable[[], bool]
    state: State = "waiting"
    progress: tuple[int, int, str] = (0, 0, "")
    problem: str | None = None
    result: TaskResult | None = None
    left_out: list[str] = field(default_factory=list)
    stop: threading.Event = field(default_factory=threading.Event)

    def data(self) -> dict[str, Any]:
        """The task as the page shows it."""
        at, of, what = self.progress
        files = sorted(path.name for path in self.folder.iterdir()) if self.state == "done" else []
        return {
            "kind": "task",
            "key": self.key,
            "work": self.kind,
            "state": self.state,
            "at": at,
            "whole": of,
            "what": what,
            "problem": self.problem,
            "files": files,
            "of": asdict(self.of),
            "left_out": self.left_out,
            "data": self.result.data if self.result else None,
        }


class Tasks:
    """Tasks, one worked on at a time. scratch : a folder for their files; notify : hears of every step forward."""

    def __init__(self, scratch: Path, notify: Notify) -> None:
        self._scratch, self._notify = scratch, notify
        self._lock = threading.Lock()
        self._turn = threading.Lock()
        self._tasks: OrderedDict[str, Task] = OrderedDict()

    def start(self, kind: str, work: Work, *, of: SourceCloth, unchanged: Callable[[], bool]) -> Task:
        """Begin a task; of an unfinished one of the same kind, the new one takes the place.

        of : the cloth that it is about; unchanged : asked at the end, whether that is still as it was at the start
        """
        key = secrets.token_hex(8)
        task = Task(key=key, kind=kind, folder=self._scratch / key, of=of, unchanged=unchanged)
        task.folder.mkdir()
        with self._lock:
            for earlier in self._tasks.values():
                if earlier.kind == kind:
                    earlier.stop.set()
            self._tasks[key] = task
            finished = [ended for ended in self._tasks.values() if ended.state in ("done", "failed", "stopped")]
            for old in finished[: max(0, len(self._tasks) - MOST_KEPT)]:
                del self._tasks[old.key]
                shutil.rmtree(old.folder, ignore_errors=True)
        speaking = copy_context()  # it keeps the language that it was begun in
        threading.Thread(target=speaking.run, args=(self._run, task, work), name=f"task {kind}", daemon=True).start()
        return task

    def get(self, key: str) -> Task:
        """A task. Raises BatikError when it is gone."""
        with self._lock:
            task = self._tasks.get(key)
        if task is None:
            raise BatikError("worktable.error.task_gone")
        return task

    def cancel(self, key: str) -> None:
        """Ask a task to stop; it does so at its next step forward, and what it makes meanwhile is dropped."""
        task = self.get(key)
        task.stop.set()
        if task.state in ("waiting", "working"):
            self._tell(task, "stopping")

    def close(self) -> None:
        """Ask all to stop."""
        with self._lock:
            for task in self._tasks.values():
                task.stop.set()

    def _tell(self, task: Task, state: State) -> None:
        task.state = state
        self._notify(task.data())

    def _run(self, task: Task, work: Work) -> None:
        def progress(done: int, total: int, what: str | Message) -> None:
            if task.stop.is_set():
                raise _Stopped
            task.progress = (done, total, str(what))
            self._notify(task.data())

        try:
            with self._turn:
                if task.stop.is_set():
                    raise _Stopped
                self._tell(task, "working")
                with hearing() as left_out:
                    made = work(task.folder, progress)
                    task.left_out = [str(note) for note in left_out()]
                if task.stop.is_set():
                    raise _Stopped
                if not task.unchanged():
                    task.of.design_number = None
                task.result = made
            self._tell(task, "done")
        except _Stopped:
            self._tell(task, "stopped")
        except BatikError as error:
            task.problem = str(error)
            self._tell(task, "failed")
        except Exception:
            task.problem = str(say("worktable.task.failed"))
            self._tell(task, "failed")
            raise
