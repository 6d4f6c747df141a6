"""The server without a network: what each address gives, in which thread, and how errors are told."""

from __future__ import annotations

import asyncio
import json
import threading
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import say
from batiksim.values import Cloth, Design
from batiksim.worktable import server as module
from batiksim.worktable.guard import MOST_JSON
from batiksim.worktable.routes import RAW, ROUTES
from batiksim.worktable.server import FONTS, PAGE, SLOW, make_app
from batiksim.worktable.session import Session, Superseded

HOST = "127.0.0.1:8000"
HEADERS = [(b"host", HOST.encode()), (b"x-worktable-token", b"secret")]


class Answer:
    """What came back, put together from the messages sent."""

    def __init__(self, messages):
        self.status = messages[0]["status"]
        self.headers = {name.decode(): value.decode() for name, value in messages[0]["headers"]}
        self.body = b"".join(message.get("body", b"") for message in messages[1:])

    @property
    def data(self):
        return json.loads(self.body)


async def _asked(app, path, *pieces, method="POST", query="", more=()):
    waiting = [{"type": "http.request", "body": piece, "more_body": True} for piece in pieces]
    waiting.append({"type": "http.request", "body": b"", "more_body": False})
    messages = []

    async def receive():
        return waiting.pop(0) if waiting else await asyncio.get_running_loop().create_future()

    async def send(message):
        messages.append(message)

    scope = {"type": "http", "asgi": {"version": "3.0", "spec_version": "2.4"}, "http_version": "1.1",
             "method": method, "path": path, "raw_path": path.encode(), "query_string": query.encode(),
             "headers": [*HEADERS, *more], "scheme": "http", "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 1),
             "root_path": ""}  # fmt: skip
    await app(scope, receive, send)
    return Answer(messages)


@pytest.fixture
def asked(session):
    """asked(path, *pieces of the body) : the answer; a browser's loop may be there in this thread, so in another."""
    app = make_app(session, hosts=[HOST], token="secret")

    def ask(path, *pieces, **keys):
        sent = [piece if isinstance(piece, bytes) else json.dumps(piece).encode() for piece in pieces]
        with ThreadPoolExecutor(1) as pool:
            return pool.submit(asyncio.run, _asked(app, path, *sent, **keys)).result(60)

    return ask


@pytest.mark.parametrize(
    ("path", "file", "kind"),
    [
        ("/page/main.js", PAGE / "main.js", "text/javascript; charset=utf-8"),
        ("/page/style.css", PAGE / "style.css", "text/css; charset=utf-8"),
        ("/page/mark.svg", PAGE / "mark.svg", "image/svg+xml"),
        ("/fonts/Alegreya-Bold.ttf", FONTS / "Alegreya-Bold.ttf", "font/ttf"),
    ],
)
def test_files_of_the_page(asked, path, file, kind):
    answer = asked(path, method="GET")
    assert (answer.status, answer.headers["content-type"]) == (200, kind)
    assert answer.body == file.read_bytes()
    assert answer.headers["cache-control"] == ("max-age=86400" if path.startswith("/fonts") else "no-store")


@pytest.mark.parametrize(
    "path",
    ["/page/none.js", "/page/..", "/page/.", "/fonts/README.md", "/fonts/index.html", "/nothing", "/page/", "/api/x"],
)
def test_no_such_file(asked, path):
    assert asked(path, method="GET").status in (404, 405)


def test_a_name_with_a_folder_in_it_is_no_file_of_the_page(tmp_path):
    (tmp_path / "inner").mkdir()
    (tmp_path / "inner" / "a.png").write_bytes(b"inner")
    (tmp_path / "a.py").write_text("x")
    (tmp_path / "b.png").mkdir()
    (tmp_path / "a.png").write_bytes(b"outer")
    for name in ("inner/a.png", "../a.png", "a.py", "b.png", "c.png", ""):
        with pytest.raises(module.HTTPException) as error:
            module._file(tmp_path, name)
        assert error.value.status_code == 404
    assert module._file(tmp_path, "a.png").path == tmp_path / "a.png"


def test_answers_are_what_the_routes_give(asked, monkeypatch):
    assert asked("/api/state").data["title"] == "Tide"
    assert asked("/api/state", b'{"a":', b" 1}").data["title"] == "Tide"
    assert asked("/api/none").status == 404
    heard = []
    monkeypatch.setitem(ROUTES, "state", lambda session, fields: heard.append(fields.entries) or {"given": True})
    assert asked("/api/state", b'{"a":', b" 1}").data == {"given": True}
    assert heard == [{"a": 1}]


def test_work_that_takes_long_has_threads_of_its_own(asked, monkeypatch):
    """Frames never wait behind it."""
    assert set(SLOW) <= {*ROUTES, *RAW}
    for name in ROUTES:
        monkeypatch.setitem(ROUTES, name, lambda session, fields: {"thread": threading.current_thread().name})
    threads = {name: asked(f"/api/{name}").data["thread"].rpartition("_")[0] for name in ROUTES}
    assert threads == {name: "work" if name in SLOW else "frames" for name in ROUTES}
    assert {"findings", "match", "open"} <= {name for name, thread in threads.items() if thread == "work"}
    assert {"state", "change", "undo"} <= {name for name, thread in threads.items() if thread == "frames"}


def test_an_error_is_told_part_by_part(asked, monkeypatch):
    def told(**keys):
        def work(session, fields):
            raise BatikError("worktable.error.not_ranked", **keys)

        monkeypatch.setitem(ROUTES, "state", work)
        answer = asked("/api/state")
        assert answer.status == 422
        return answer.data["error"]

    said, fix = "these orders aren't ranked yet", "worktable.error.no_dyes.fix"
    whole = told(file="a.toml", field="step 1", got="red", fix=fix)
    assert whole == {
        "problem": said, "file": "a.toml", "field": "step 1", "got": "red", "fix": "add a dye first",
        "text": f"a.toml: step 1: {said} (found 'red'); add a dye first",
        "plain": f"a.toml: step 1: {said} (found 'red'); add a dye first",
    }  # fmt: skip
    assert told() == {"problem": said, "file": None, "field": None, "got": None, "fix": None, "text": said,
                      "plain": "These orders aren't ranked yet."}  # fmt: skip
    plain = told(field="step 1", got="red", fix=nearest("sum", ["sun"]))["plain"]
    assert plain == "These orders aren't ranked yet (found 'red'). Did you mean 'sun'?"
    assert told(field="step 1", fix=fix)["plain"] == f"step 1: {said}; add a dye first"
    assert told(file="a.png", got="red")["plain"] == f"a.png: {said} (found 'red')."
    assert told(got=12)["got"] is None  # a number is in the text as it should be written
    assert told(got="a\nb")["got"] is None
    assert told(got="x" * 150)["got"] == "x" * 100


@pytest.mark.parametrize(
    "body", [b"{", b"[1]", b"3", b'"text"', b"\xff", b"[" * 100_000, b'{"a": "\\ud800"}', b'{"a": "\\uDFff"}']
)
def test_what_the_page_would_not_send(asked, body):
    assert asked("/api/state", body).status == 422


def test_a_letter_in_two_halves_may_be_sent(asked):
    assert asked("/api/state", b'{"a": "\\ud83c\\udf3f"}').status == 200


def test_what_is_superseded_or_too_large(asked, monkeypatch):
    assert asked("/api/state", b" " * (MOST_JSON + 1)).status == 413

    def older(session, fields):
        raise Superseded

    monkeypatch.setitem(ROUTES, "state", older)
    answer = asked("/api/state")
    assert (answer.status, answer.body) == (204, b"")


def test_a_frame_is_sent_raw_unless_a_newer_one_was_asked_for(asked, session):
    view = {"page": "p", "place": "cloth", "width": 40}
    answer = asked("/api/frame", view | {"number": 7})
    rows, cols = (int(side) for side in answer.headers["x-shape"].split(","))
    assert cols == 40
    assert len(answer.body) == rows * cols * 4
    assert answer.headers["content-type"] == "application/octet-stream"
    assert asked("/api/frame", view | {"number": 6}).status == 204
    assert asked("/api/frame", view | {"number": 6, "place": "pot"}).status == 200
    assert asked("/api/frame", view | {"number": 8}).status == 200
    assert asked("/api/frame", view | {"number": -1}).status == 422
    assert asked("/api/frame", view | {"number": 2**53}).status == 200
    assert asked("/api/frame", view | {"number": 2**53 + 2}).status == 422


def test_what_is_asked_of_a_design_that_has_changed_since_is_superseded_if_it_cannot_be_had(asked, session):
    """A page that has not heard of a change yet asks for a step or a pot that is gone: no error, it will ask anew."""
    document = session.document
    before = {"of": f"{document.number} {document.revision}"}
    steps = len(document.design.steps)
    view = {"page": "a", "place": "cloth", "number": 1, "width": 40}
    asks = {"frame": view | {"step": steps}, "spot": {"x": 0.5, "y": 0.5, "step": steps}, "pot": {"pot": "gone"}}
    document.change([{"do": "remove_step", "step": steps}])
    now = {"of": f"{document.number} {document.revision}"}
    for name, fields in asks.items():
        assert asked(f"/api/{name}", fields | before).status == 204
        assert asked(f"/api/{name}", fields | now).status == 422
        assert asked(f"/api/{name}", fields).status == 422
    assert asked("/api/frame", view | before | {"step": steps - 1}).status == 200  # still to be had
    answer = asked("/api/change", {"changes": [{"do": "remove_step", "step": steps}]})
    assert answer.status == 422  # a change is never silent


@pytest.mark.parametrize(("name", "pool"), [("frame", "frames"), ("thumbnails", "frames"), ("small", "work")])
def test_pictures_are_sent_raw_and_another_cloth_is_slow_work(asked, monkeypatch, name, pool):
    threads = []

    def pixels(session, fields):
        threads.append(threading.current_thread().name.rpartition("_")[0])
        assert fields.text("page") == "p"
        return np.full((2, 3, 5, 4), 9, np.uint8)

    monkeypatch.setitem(RAW, name, pixels)
    answer = asked(f"/api/{name}", {"page": "p", "place": "cloth", "number": 1})
    assert answer.headers["x-shape"] == "2,3,5"
    assert answer.body == b"\t" * 120
    assert threads == [pool]


def test_pixels_go_row_by_row():
    """A view that lies otherwise in memory is sent as it reads."""
    pixels = np.arange(24, dtype=np.uint8).reshape(3, 2, 4).transpose(1, 0, 2)
    answer = module._raw(pixels)
    assert bytes(answer.body) == bytes(
        [0, 1, 2, 3, 8, 9, 10, 11, 16, 17, 18, 19, 4, 5, 6, 7, 12, 13, 14, 15, 20, 21, 22, 23]
    )
    assert answer.headers["x-shape"] == "2,3"


@pytest.mark.parametrize(
    ("query", "name"),
    [
        ("name=leaf.png", "leaf.png"),
        ("name=a%2Fb%2Fleaf.png", "leaf.png"),
        ("name=", "picture"),
        ("name=%2F", "picture"),
        ("", "picture"),
        (f"name={'x' * 130}", "x" * 120),
    ],
)
def test_a_file_is_written_as_it_comes_and_gone_afterwards(asked, session, query, name):
    seen = []

    def take(file, called):
        seen.append((file.parent, file.read_bytes(), called, threading.current_thread().name.rpartition("_")[0]))
        return {"taken": True}

    session.photos.take = take
    assert asked("/api/photos", b"GIF", b"89a", query=query).data == {"taken": True}
    assert seen == [(session.scratch, b"GIF89a", name, "work")]
    assert list(session.scratch.iterdir()) == []


def test_a_file_that_is_no_picture_is_gone_too(asked, session):
    for path in ("/api/photos", "/api/pictures"):
        answer = asked(path, b"nonsense", query="name=leaf.png")
        assert answer.status == 422
        assert answer.data["error"]["file"] == "leaf.png"
        assert list(session.scratch.iterdir()) == []


def test_files_that_a_task_made(asked, session, tmp_path, monkeypatch):
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / "sheet.pdf").write_bytes(b"%PDF")
    monkeypatch.setattr(
        session.tasks, "get", lambda key: SimpleNamespace(folder=tmp_path / "made" if key == "k" else tmp_path)
    )
    answer = asked("/api/made/k/sheet.pdf", method="GET")
    assert (answer.body, answer.headers["content-type"]) == (b"%PDF", "application/pdf")
    assert asked("/api/made/other/sheet.pdf", method="GET").status == 404


def test_a_page_hears_what_happens_for_as_long_as_it_listens(session, monkeypatch):
    """Four lines: how many look on, as it enters and as all are told; an event; and a sign of life when nothing is."""

    async def listen():
        lines = []
        server = module.Server(session)
        answer = await server.events(SimpleNamespace(path_params={"page": "p" * 50}))
        assert list(session._pages) == ["p" * 40]
        body = answer.body_iterator
        lines += [json.loads(await anext(body)), json.loads(await anext(body))]
        session._queue({"kind": "x", "problem": say("worktable.error.task_gone")})
        lines.append(json.loads(await anext(body)))
        monkeypatch.setattr(module, "NEW_PAGE_S", 0)
        lines.append(json.loads(await anext(body)))
        assert session.pages == 1
        await body.aclose()
        return lines

    with ThreadPoolExecutor(1) as pool:
        lines = pool.submit(asyncio.run, listen()).result(60)
    told = {"kind": "x", "problem": "this task is no longer here"}
    assert lines == [{"kind": "pages", "count": 1}, {"kind": "pages", "count": 1}, told, {"kind": "alive"}]
    assert session.pages == 0


def test_the_engine_is_made_ready_and_all_is_saved_at_the_end(tmp_path, monkeypatch):
    prepared = []
    monkeypatch.setattr(module.jobs, "prepare_engine", lambda: prepared.append(threading.current_thread().name))
    (tmp_path / "home").mkdir()
    session = Session(tmp_path / "home", None)
    session.create(Design(title="New", cloth=Cloth(width_mm=300)))
    server = module.Server(session)

    async def live():
        async with server.life(None):
            assert session.loop is asyncio.get_running_loop()
            assert session.scratch.is_dir()

    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, live()).result(60)
    assert [name.rpartition("_")[0] for name in prepared] in (["work"], [])  # it may end before that begins
    assert not session.scratch.exists()
    for pool in (server.quick, server.slow):
        with pytest.raises(RuntimeError):
            pool.submit(print)


def png(tmp_path):
    Image.new("L", (40, 30), 255).save(tmp_path / "sent.png")
    return (tmp_path / "sent.png").read_bytes()


def test_a_dropped_picture_is_kept_and_shown_as_it_is_asked_for(asked, session, tmp_path, monkeypatch):
    told = asked("/api/pictures", png(tmp_path), query="name=leaf.png").data
    assert (told["name"], told["rows"], told["cols"]) == ("leaf", 30, 40)
    shown = asked("/api/shown", {"key": told["key"], "how": "picture"})
    assert (shown.headers["x-shape"], shown.body) == ("30,40", b"\xff" * 4800)
    ways = []

    def preview(dropped, *how, **keys):
        ways.append((dropped.name, *how, keys, threading.current_thread().name.rpartition("_")[0]))
        return np.zeros((1, 1, 4), np.uint8)

    monkeypatch.setattr(module.routes.pictures, "picture_preview", preview)
    asked("/api/shown", {"key": told["key"], "how": "mask"})
    asked("/api/shown", {"key": told["key"], "how": "clean", "marks": "light", "off_table": True})
    assert ways == [
        ("leaf.png", "mask", None, {"off_table": False}, "work"),
        ("leaf.png", "clean", "light", {"off_table": True}, "work"),
    ]
    for wrong in ({"how": "other"}, {"how": "mask", "key": "gone"}):
        assert asked("/api/shown", {"key": told["key"]} | wrong).status == 422


def test_a_photo_is_kept_and_shown(asked, tmp_path):
    told = asked("/api/photos", png(tmp_path), query="name=leaf.png").data
    assert told == {"key": told["key"], "name": "leaf.png", "rows": 30, "cols": 40}
    shown = asked("/api/photo", {"key": told["key"]})
    assert (shown.headers["x-shape"], shown.body) == ("30,40", b"\xff" * 4800)
    assert asked("/api/photo", {"key": "gone"}).status == 422


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("a.png", "image/png"),
        ("a.pdf", "application/pdf"),
        ("a.json", "application/json"),
        ("a.toml", "application/toml"),
        ("a.zip", "application/zip"),
        ("a.svg", "image/svg+xml"),
        ("a.html", "text/html; charset=utf-8"),
    ],
)
def test_a_file_says_what_it_is(asked, session, tmp_path, monkeypatch, name, kind):
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / name).write_bytes(b"x")
    monkeypatch.setattr(session.tasks, "get", lambda key: SimpleNamespace(folder=tmp_path / "made"))
    assert asked(f"/api/made/k/{name}", method="GET").headers["content-type"] == kind


@pytest.mark.parametrize("path", ["/api/frame", "/api/small", "/api/thumbnails", "/api/shown", "/api/photo"])
def test_what_answers_a_request_with_fields_is_not_to_be_had_by_its_address(asked, path):
    assert asked(path, method="GET").status == 405


def test_an_address_with_a_slash_too_many_leads_nowhere_else(asked):
    for path in ("/page/main.js/", "/fonts/Alegreya-Bold.ttf/", "/api/state/"):
        assert asked(path, method="GET").status in (404, 405)
