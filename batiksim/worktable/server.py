"""The worktable's server: routes, files of the page, and the work handed to threads so that nothing waits for it."""

import asyncio
import json
import re
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from contextvars import copy_context
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from batiksim import jobs
from batiksim.changes.request_fields import RequestFields
from batiksim.document.uploads.pictures import picture_data
from batiksim.errors import BatikError
from batiksim.texts.catalogue import capital, spoken
from batiksim.types import Bytes
from batiksim.worktable import routes
from batiksim.worktable.guard import Guard, TooLarge, refusal
from batiksim.worktable.page_words import PAGE, InLanguage, page_html
from batiksim.worktable.session import Session, Superseded

T = TypeVar("T")
FONTS = Path(__file__).resolve().parent.parent / "data" / "fonts"
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".json": "application/json",
    ".toml": "application/toml",
    ".zip": "application/zip",
}
SLOW = (
    "regions", "findings", "match", "use_picture", "history", "start", "create", "open", "designs", "open_order",
    "small", "shown",
)  # fmt: skip
_HALF_LETTER = re.compile(rb"\\u[dD][89a-fA-F]")
NEW_PAGE_S = 20  # a page that listens hears something at least so often
Work = Callable[[Session, RequestFields], T]


class Server:
    """Routes over a session. Frames have threads of their own, so that slow work can't hold them up."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.quick = ThreadPoolExecutor(2, thread_name_prefix="frames")
        self.slow = ThreadPoolExecutor(2, thread_name_prefix="work")

    def routes(self) -> list[Route]:
        """Every address that the server knows."""
        return [
            Route("/", self.page),
            Route("/page/{name}", self.page),
            Route("/fonts/{name}", self.font),
            Route("/api/events/{page}", self.events),
            Route("/api/pictures", self.drop, methods=["POST"]),
            Route("/api/photos", self.photo, methods=["POST"]),
            Route("/api/made/{key}/{name}", self.made),
            Route("/api/{name}", self.answer, methods=["POST"]),
        ]

    @asynccontextmanager
    async def life(self, app: Starlette) -> AsyncIterator[None]:
        """From start to end: the engine is made ready, and at the end all is saved."""
        del app
        self.session.loop = asyncio.get_running_loop()
        self.slow.submit(jobs.prepare_engine)
        try:
            yield
        finally:
            self.quick.shutdown(cancel_futures=True)
            self.slow.shutdown(cancel_futures=True)
            self.session.close()

    async def run(self, pool: ThreadPoolExecutor, work: Work[T], fields: RequestFields) -> T:
        """Do work in a thread. Raises Superseded for what can't be had because the design has changed since."""
        try:
            return await _in_thread(pool, work, self.session, fields)
        except BatikError as error:
            if routes.is_of_before(self.session, fields):
                raise Superseded from error
            raise

    async def page(self, request: Request) -> Response:
        """A file of the page."""
        name = request.path_params.get("name", "index.html")
        return HTMLResponse(page_html(spoken())) if name == "index.html" else _file(PAGE, name)

    async def font(self, request: Request) -> Response:
        """A font."""
        response = _file(FONTS, request.path_params["name"])
        response.headers["cache-control"] = "max-age=86400"
        return response

    async def answer(self, request: Request) -> Response:
        """Any of `RAW` or `ROUTES`."""
        name = request.path_params["name"]
        if name not in routes.RAW | routes.ROUTES:
            raise HTTPException(404)
        fields = await _fields(request)
        pool = self.slow if name in SLOW else self.quick
        if name == "frame":
            self.session.latest.ask(*routes.frame_asked(fields))
        if name in routes.RAW:
            return _raw(await self.run(pool, routes.RAW[name], fields))
        return JSONResponse(await self.run(pool, routes.ROUTES[name], fields))

    async def drop(self, request: Request) -> Response:
        """A picture dropped on the page."""
        return await self.receive(request, lambda file, name: picture_data(self.session.dropped.take(file, name)))

    async def photo(self, request: Request) -> Response:
        """A photo or sketch in colour, to be worked on."""
        return await self.receive(request, self.session.photos.take)

    async def receive(self, request: Request, take: Callable[[Path, str], dict[str, Any]]) -> Response:
        """What `take` makes of a file that is sent: written to disk as it comes, its name in the query."""
        name = Path(request.query_params.get("name", "picture")).name[:120] or "picture"
        file = self.session.scratch / secrets.token_hex(8)
        try:
            with file.open("xb") as out:
                async for piece in request.stream():
                    out.write(piece)
            return JSONResponse(await _in_thread(self.slow, take, file, name))
        finally:
            file.unlink(missing_ok=True)

    async def made(self, request: Request) -> Response:
        """A file that a task made."""
        task = self.session.tasks.get(request.path_params["key"])
        return _file(task.folder, request.path_params["name"])

    async def events(self, request: Request) -> Response:
        """What happens, one line of JSON each, for as long as the page listens."""
        page = request.path_params["page"][:40]
        queue = self.session.enter(page)

        async def lines() -> AsyncIterator[str]:
            try:
                yield json.dumps({"kind": "pages", "count": self.session.pages}) + "\n"
                while True:
                    try:
                        event = await asyncio.wait_for(queue.get(), NEW_PAGE_S)
                    except TimeoutError:
                        event = {"kind": "alive"}
                    yield json.dumps(event, default=str) + "\n"  # messages in the language of the page
            finally:
                self.session.leave(page, queue)

        return StreamingResponse(lines(), media_type="application/x-ndjson")


def make_app(session: Session, *, hosts: list[str], token: str) -> InLanguage:
    """The whole application. hosts : names with port by which the page is reached; token : of this run."""
    server = Server(session)
    handlers: dict[Any, Callable[[Request, Exception], Awaitable[Response]]] = {
        BatikError: _batik_error,
        Superseded: _superseded,
        ClientDisconnect: _superseded,
        TooLarge: _too_large,
    }
    app = Starlette(routes=server.routes(), lifespan=server.life, exception_handlers=handlers)
    app.router.redirect_slashes = False  # it would read the query before anything has looked at it
    return InLanguage(Guard(app, hosts=hosts, token=token))


async def _in_thread(pool: ThreadPoolExecutor, work: Callable[..., T], *given: Any) -> T:
    """What work gives in a thread, in the language of the request."""
    return await asyncio.get_running_loop().run_in_executor(pool, partial(copy_context().run, work, *given))


async def _fields(request: Request) -> RequestFields:
    body = await request.body()
    try:
        entries = json.loads(body.decode()) if body else {}
        if _HALF_LETTER.search(body):
            json.dumps(entries, ensure_ascii=False).encode()  # what can't be written can't be answered either
    except (ValueError, RecursionError):
        raise BatikError("worktable.error.not_readable") from None
    return RequestFields(entries)


async def _batik_error(request: Request, error: Exception) -> Response:
    del request
    assert isinstance(error, BatikError)
    fix = str(error.fix) if error.fix else None
    data = {"problem": str(error.problem), "file": error.file, "field": error.field, "fix": fix, "text": str(error)}
    data["plain"] = _plain(error)
    written = isinstance(error.got, str) and error.got.isprintable()
    data["got"] = str(error.got)[:100] if written else None
    return JSONResponse({"error": data}, status_code=422)


def _plain(error: BatikError) -> str:
    """An error in whole sentences, without a field where what stands in it says enough: it is read beside that."""
    if error.field and (error.file or error.got is None):
        return str(error)
    clause = f"{error.file}: {error.clause}" if error.file else capital(error.clause)
    return " ".join(_ended(words) for words in (clause, error.fix and capital(error.fix)) if words)


def _ended(words: str) -> str:
    """A sentence with its full stop, unless it ends otherwise."""
    return words if words.endswith((".", "?", "!", "…")) else f"{words}."


async def _superseded(request: Request, error: Exception) -> Response:
    del request, error
    return Response(status_code=204)


async def _too_large(request: Request, error: Exception) -> Response:
    del request, error
    return refusal(413, "worktable.refused.too_large")


def _raw(pixels: Bytes) -> Response:
    shape = ",".join(str(side) for side in pixels.shape[:-1])
    body = np.ascontiguousarray(pixels).data.cast("B")
    return Response(body, media_type="application/octet-stream", headers={"x-shape": shape})


def _file(folder: Path, name: str) -> Response:
    path = folder / name
    if Path(name).name != name or path.suffix not in TYPES or not path.is_file():
        raise HTTPException(404)
    return FileResponse(path, media_type=TYPES[path.suffix])
