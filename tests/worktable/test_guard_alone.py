"""The guard without a server: requests as they come in, and what is let through."""

from __future__ import annotations

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.datastructures import Headers

from batiksim.worktable.guard import MOST_JSON, MOST_UPLOAD, TOKEN_HEADER, Guard, TooLarge

HOST = "127.0.0.1:8000"
OWN = {"host": HOST, TOKEN_HEADER: "secret"}


def apart(coroutine):
    """Run a coroutine in a thread: a browser's loop may be there in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result(60)


def asked(headers=OWN, *, method="POST", path="/api/state", pieces=(b"{}",), kind="http", more=()):
    """(status, headers) of an answer; status 299 where the guard let it through, and "too large" where cut off."""
    sent = []

    async def inside(scope, receive, send):
        try:
            for _ in pieces:
                await receive()
        except TooLarge:
            await send({"type": "http.response.start", "status": 413, "headers": [(b"x-inside", b"1")]})
            return
        await send({"type": "http.response.start", "status": 299, "headers": [(b"cache-control", b"mine")]})
        await send({"type": "http.response.body", "body": b""})

    waiting = iter(pieces)

    async def receive():
        return {"type": "http.request", "body": next(waiting)}

    async def send(message):
        sent.append(message)

    raw = [(name.encode(), value.encode()) for name, value in [*headers.items(), *more]]
    scope = {"type": kind, "method": method, "path": path, "headers": raw}
    apart(Guard(inside, hosts=[HOST], token="secret")(scope, receive, send))
    if not sent:
        return None, {}
    return sent[0]["status"], {name.decode(): value.decode() for name, value in sent[0]["headers"]}


@pytest.mark.parametrize(
    ("headers", "keys", "status"),
    [
        (OWN, {}, 299),
        (OWN, {"method": "GET"}, 299),
        (OWN, {"method": "HEAD"}, 299),
        (OWN, {"method": "PUT"}, 405),
        (OWN, {"method": "DELETE"}, 405),
        ({"host": HOST.upper(), TOKEN_HEADER: "secret"}, {}, 299),
        ({TOKEN_HEADER: "secret"}, {}, 403),
        (OWN | {"host": "evil.example"}, {}, 403),
        (OWN, {"more": [("host", HOST)]}, 403),
        (OWN | {"origin": f"http://{HOST}"}, {}, 299),
        (OWN | {"origin": f"https://{HOST}"}, {}, 403),
        (OWN | {"origin": "http://evil.example"}, {}, 403),
        (OWN | {"origin": f"http://{HOST}"}, {"more": [("origin", f"http://{HOST}")]}, 403),
        (OWN | {"sec-fetch-site": "same-origin"}, {}, 299),
        (OWN | {"sec-fetch-site": "none"}, {}, 299),
        (OWN | {"sec-fetch-site": "cross-site"}, {}, 403),
        ({"host": HOST}, {}, 401),
        ({"host": HOST, TOKEN_HEADER: "secreT"}, {}, 401),
        ({"host": HOST}, {"path": "/"}, 299),
        ({"host": HOST}, {"path": "/page/app.js"}, 299),
        (OWN | {"content-length": str(MOST_JSON)}, {}, 299),
        (OWN | {"content-length": str(MOST_JSON + 1)}, {}, 413),
        (OWN | {"content-length": "-1"}, {}, 413),
        (OWN | {"content-length": str(MOST_UPLOAD)}, {"path": "/api/pictures"}, 299),
        (OWN | {"content-length": str(MOST_UPLOAD)}, {"path": "/api/photos"}, 299),
        (OWN | {"content-length": str(MOST_UPLOAD + 1)}, {"path": "/api/photos"}, 413),
        (OWN | {"content-length": str(MOST_JSON + 1)}, {"path": "/api/picture"}, 413),
    ],
)
def test_who_is_let_through(headers, keys, status):
    assert asked(headers, **keys)[0] == status


@pytest.mark.parametrize(("last", "status"), [(0, 299), (1, 413)])
def test_a_body_longer_than_it_said_is_cut_off(last, status):
    half = b"x" * (MOST_JSON // 2)
    found, headers = asked(pieces=(half, half, b"x" * last))
    assert found == status
    assert ("x-inside" in headers) is (status == 413)


def test_a_request_is_of_four_megabytes_at_most_and_a_picture_of_a_hundred_and_twenty():
    assert (MOST_JSON, MOST_UPLOAD) == (4_000_000, 120_000_000)


def test_every_answer_says_what_a_page_may_load():
    for status, headers in (asked(), asked({"host": HOST})):
        assert status in (299, 401)
        assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'")
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
    assert asked()[1]["cache-control"] == "mine"  # what says otherwise itself is left so
    assert asked({"host": HOST})[1]["cache-control"] == "no-store"


def test_other_ways_of_speaking():
    assert asked(kind="lifespan")[0] == 299
    assert asked(kind="websocket") == (None, {})


@pytest.mark.parametrize(
    ("headers", "method", "words"),
    [
        ({"host": "evil.example"}, "GET", "This isn't the address of the worktable."),
        (OWN | {"origin": "null"}, "GET", "This request comes from another site."),
        (OWN | {"sec-fetch-site": "cross-site"}, "GET", "This request comes from another site."),
        (OWN, "PUT", "The worktable doesn't accept this kind of request."),
        ({"host": HOST}, "GET", "Open the page at the address that the command printed."),
        (OWN | {"content-length": "x"}, "POST", "This is larger than the worktable accepts."),
    ],
)
def test_why_it_is_refused(headers, method, words):
    raw = [(name.encode(), value.encode()) for name, value in headers.items()]
    scope = {"type": "http", "method": method, "path": "/api/state", "headers": raw}
    refused = Guard(None, hosts=[HOST], token="secret")._refusal(scope, Headers(scope=scope), MOST_JSON)
    assert json.loads(refused.body) == {"error": {"problem": words}}
