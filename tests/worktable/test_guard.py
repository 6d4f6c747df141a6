"""Who may ask, how much may be sent, and what may be read: attacks as another page or program would try them."""

from __future__ import annotations

import http.client
import io
import json
import socket
import struct
import zlib

import pytest
from PIL import Image

TOKEN = "token-of-the-test"


def asked(served, method: str = "POST", path: str = "/api/state", body: bytes = b"{}", **headers: str):
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=20)
    sent = {"x-worktable-token": TOKEN} | {name.replace("_", "-"): value for name, value in headers.items()}
    connection.request(method, path, body, {name: value for name, value in sent.items() if value})
    answer = connection.getresponse()
    found = answer.status, answer.read(), dict(answer.getheaders())
    connection.close()
    return found


def test_it_answers_its_own_page(sample_served) -> None:
    status, body, headers = asked(sample_served)
    assert status == 200
    assert json.loads(body)["title"]
    assert "default-src 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"


def test_it_listens_on_this_machine_alone(sample_served) -> None:
    addresses = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    for address in addresses - {"127.0.0.1", "127.0.1.1"}:
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((address, sample_served.port), timeout=2)


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "127.0.0.1", "127.0.0.1:1", "[::1]:{port}", ""])
def test_another_host_is_refused(sample_served, host: str) -> None:
    with socket.create_connection(("127.0.0.1", sample_served.port)) as line:
        name = host.format(port=sample_served.port)
        line.sendall(f"GET / HTTP/1.1\r\nHost: {name}\r\nConnection: close\r\n\r\n".encode())
        answer = line.makefile("rb").read()
    assert answer.split(b" ")[1] in (b"403", b"400")


def test_two_hosts_are_refused(sample_served) -> None:
    with socket.create_connection(("127.0.0.1", sample_served.port)) as line:
        own = f"Host: 127.0.0.1:{sample_served.port}\r\n"
        line.sendall(f"GET / HTTP/1.1\r\n{own}{own}Connection: close\r\n\r\n".encode())
        assert line.makefile("rb").read().split(b" ")[1] in (b"403", b"400")


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:{port}", "http://127.0.0.1:1"])
def test_another_origin_is_refused_even_with_the_token(sample_served, origin: str) -> None:
    assert asked(sample_served, origin=origin.format(port=sample_served.port))[0] == 403


def test_another_site_is_refused_as_the_browser_names_it(sample_served) -> None:
    assert asked(sample_served, sec_fetch_site="cross-site")[0] == 403


@pytest.mark.parametrize("token", ["", "wrong", TOKEN[:-1], "täken"])
def test_without_the_token_nothing_is_told_or_changed(sample_served, token: str) -> None:
    sent = token.encode("utf-8").decode("latin-1")
    assert asked(sample_served, x_worktable_token=sent)[0] == 401
    assert asked(sample_served, path="/api/events/x", method="GET", body=b"", x_worktable_token=sent)[0] == 401


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"])
def test_other_methods_are_refused(sample_served, method: str) -> None:
    assert asked(sample_served, method=method)[0] == 405


@pytest.mark.parametrize(
    "path",
    ["/page/../server.py", "/page/%2e%2e%2fserver.py", "/page/..%5cserver.py", "/page/server.py",
     "/fonts/../demo_book.toml", "/page//etc/passwd",
     "/api/made/../../x", "/api/made/0123/design.toml", "/page/index.html%00.js"],
)  # fmt: skip
def test_no_path_leads_out(sample_served, path: str) -> None:
    status, body, _ = asked(sample_served, method="GET", path=path, body=b"")
    assert status in (404, 405, 422)
    assert b"import" not in body


def test_masks_stay_in_the_designs_folder(serve, muddy) -> None:
    served = serve(muddy)
    for picture in ("../outside.png", "/etc/passwd", "..\\outside.png", "masks/../../outside.png"):
        body = {"changes": [{"do": "set_mask", "step": 3, "where": {"picture": picture}}]}
        status, told, _ = asked(served, path="/api/change", body=json.dumps(body).encode())
        assert status == 422, told
    assert served.session.document.stack.undo_words is None


def test_no_other_folder_is_opened(serve, tmp_path, muddy) -> None:
    served = serve(muddy)
    for name in ("..", "../home/brown-leaves", str(muddy), "."):
        assert asked(served, path="/api/open", body=json.dumps({"name": name}).encode())[0] == 422


def png(width: int, height: int) -> bytes:
    """The head of a PNG of any size, with next to nothing in it."""

    def piece(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", head) + piece(b"IDAT", zlib.compress(b"")) + piece(b"IEND", b"")


@pytest.mark.parametrize("path", ["/api/pictures", "/api/photos"])
@pytest.mark.parametrize(
    "body",
    [b"", b"<script>alert(1)</script>", b"GIF89a", png(60_000, 60_000), png(10, 10), b"%PDF-1.7",
     b"\x89PNG\r\n\x1a\n" + b"\0" * 99],
    ids=["empty", "markup", "cut short", "a bomb", "no pixels", "a letter", "noise"],
)  # fmt: skip
def test_what_is_no_picture_is_refused(sample_served, path: str, body: bytes) -> None:
    status, told, _ = asked(sample_served, path=f"{path}?name=../../x.png", body=body)
    assert status == 422
    assert json.loads(told)["error"]["text"].startswith("x.png")
    assert not list(sample_served.session.scratch.glob("*"))


def test_too_many_bytes_are_refused_at_once(sample_served) -> None:
    status, _, _ = asked(sample_served, path="/api/pictures", body=b"", content_length=str(200_000_000))
    assert status == 413


def test_too_many_bytes_are_refused_when_they_come_in_pieces(serve, monkeypatch) -> None:
    monkeypatch.setattr("batiksim.worktable.guard.MOST_UPLOAD", 100_000)
    monkeypatch.setattr("batiksim.worktable.guard.MOST_JSON", 10_000)
    served = serve()
    for path in ("/api/pictures?name=x.png", "/api/change"):
        with socket.create_connection(("127.0.0.1", served.port), timeout=20) as line:
            head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nx-worktable-token: {TOKEN}\r\n"
            line.sendall(f"{head}Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n".encode())
            try:
                for _ in range(64):
                    line.sendall(b"4000\r\n" + b"x" * 0x4000 + b"\r\n")
                line.sendall(b"0\r\n\r\n")
            except OSError:
                pass  # it has hung up already
            try:
                answer = line.makefile("rb").read()
            except ConnectionResetError:
                answer = b"HTTP/1.1 413"  # hung up so soon that its answer was lost on the way
        assert answer.split(b" ")[1] == b"413", path
    assert not list(served.session.scratch.glob("*"))


@pytest.mark.parametrize(
    "body",
    [b"[]", b"nonsense", b'{"changes": 3}', b'{"changes": [3]}', b'{"changes": [{"do": "unknown"}]}',
     b'{"changes": [{"do": "set_strength", "pot": "pale ink", "strength": NaN}]}', b'{"changes": []}',
     b'{"changes": [{"do": "move_step", "step": 1, "to": 99}]}', b"[" * 100_000,
     b'{"changes": [{"do": "add_dye", "name": "x", "made": {}}]}'],
)  # fmt: skip
def test_nonsense_is_told_in_words_and_changes_nothing(serve, muddy, body: bytes) -> None:
    served = serve(muddy)
    status, told, _ = asked(served, path="/api/change", body=body)
    assert status == 422
    assert json.loads(told)["error"]["text"]
    assert served.session.document.stack.undo_words is None


def test_a_picture_is_taken_whatever_its_name(serve) -> None:
    out = io.BytesIO()
    Image.new("L", (40, 30), 0).save(out, "PNG")
    served = serve()
    for name in ("%3Cimg%20src=x%3E.png", "..%2F..%2Fx.png", "%00", "a" * 400, "CON.png"):
        status, told, _ = asked(served, path=f"/api/pictures?name={name}", body=out.getvalue())
        assert status == 200
        assert "/" not in json.loads(told)["name"]
