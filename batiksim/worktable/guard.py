"""The guard before the worktable: who may ask, how much may be sent, what a page may load.

The server listens on this machine alone. A page of another site can still make the browser knock here; so a request
must name this very address as its host and, where it has one, as its origin, and everything that tells or changes
something needs the token that only the address opened by the command holds.
"""

import hmac
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from batiksim.texts.catalogue import texts

TOKEN_HEADER = "x-worktable-token"
MOST_JSON = 4_000_000  # bytes of a request that isn't a picture
MOST_UPLOAD = 120_000_000  # bytes of a picture
UPLOADS = ("/api/pictures", "/api/photos")
_POLICY = "; ".join((
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' blob:",
    "font-src 'self'",
    "connect-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
    "require-trusted-types-for 'script'",
))  # fmt: skip
_HEADERS = {
    "content-security-policy": _POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class TooLarge(Exception):
    """A request's body is larger than may be sent; the application inside answers with 413."""


class Guard:
    """ASGI middleware. hosts : the host names with port that are this server; token : of this run."""

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str], token: str) -> None:
        self.app, self.hosts, self.token = app, frozenset(hosts), token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing here speaks WebSocket
        headers = Headers(scope=scope)
        most = MOST_UPLOAD if scope["path"] in UPLOADS else MOST_JSON
        refused = self._refusal(scope, headers, most)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        await self.app(scope, _counted(receive, most), _with_headers(send))

    def _refusal(self, scope: Scope, headers: Headers, most: int) -> JSONResponse | None:
        host, origin = headers.getlist("host"), headers.getlist("origin")
        if len(host) != 1 or host[0].lower() not in self.hosts:
            return refusal(403, "worktable.refused.address")
        if origin and origin != [f"http://{host[0].lower()}"]:
            return refusal(403, "worktable.refused.other_site")
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return refusal(403, "worktable.refused.other_site")
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return refusal(405, "worktable.refused.method")
        token = headers.get(TOKEN_HEADER, "").encode("utf-8", "replace")
        if scope["path"].startswith("/api/") and not hmac.compare_digest(token, self.token.encode()):
            return refusal(401, "worktable.refused.token")
        length = headers.get("content-length")
        if length is not None and (not length.isdigit() or int(length) > most):
            return refusal(413, "worktable.refused.too_large")
        return None


def refusal(status: int, key: str) -> JSONResponse:
    """An answer that says why not: the sentence of a key."""
    return JSONResponse({"error": {"problem": texts()(key)}}, status_code=status)


def _counted(receive: Receive, most: int) -> Receive:
    """The same body, cut off with an error once it is longer than `most`, whatever its length was said to be."""
    taken = 0

    async def counted() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooLarge
        return message

    return counted


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sending
