"""The worktable in a real Chromium: from opening to the first paint, from a strength slider's move to pixels.

First feedback is the half-size frame that follows a move; full is the frame that follows the slider's rest, from when
it is asked for. Each is also held against the page fetching and drawing the same bytes, lying ready, in turn.
"""

from __future__ import annotations

import shutil
import socket
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import uvicorn
from pictures import on_disk, soft_masks, waxings
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from timing import Row

from batiksim.worktable.server import make_app
from batiksim.worktable.session import Session

TOKEN, ROUNDS, PAINTS = "bench", 40, 9
SCRIPT = """async (rounds) => {
  const { raw } = await import("/page/server.js");
  const { draw } = await import("/page/dom.js");
  const slider = document.querySelector('[data-key="strength-0"]');
  const canvas = document.createElement("canvas");
  const drawn = (half) => new Promise((go) => {
    const hear = ({ detail }) => {
      if (detail.half !== half) return;
      document.removeEventListener("cloth-drawn", hear);
      go(detail.ms);
    };
    document.addEventListener("cloth-drawn", hear);
  });
  const still = async (width) => {
    const began = performance.now();
    const found = await raw("still", { width });
    draw(canvas, found.pixels, ...found.shape);
    return performance.now() - began;
  };
  const width = document.querySelector("canvas.now").width;
  const found = { half: [], full: [], stillHalf: [], stillFull: [] };
  for (let round = 0; round < rounds; round += 1) {
    const first = drawn(true);
    const began = performance.now();
    slider.value = 0.3 + (round % 30) / 20;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await first;
    found.half.push(performance.now() - began);
    found.full.push(await drawn(false));
    found.stillHalf.push(await still(Math.ceil(width / 2)));
    found.stillFull.push(await still(width));
  }
  return found;
}"""

PAINTED = """() => new Promise((go) => new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) if (entry.name === "first-contentful-paint") go(entry.startTime);
}).observe({ type: "paint", buffered: true }))"""


async def _still(request: Request) -> Response:
    """The same bytes as a frame, lying ready."""
    width = (await request.json())["width"]
    pixels = _READY.setdefault(width, np.full((round(width * 3 / 4), width, 4), 200, np.uint8))
    shape = f"{pixels.shape[0]},{width}"
    return Response(pixels.data.cast("B"), media_type="application/octet-stream", headers={"x-shape": shape})


_READY: dict[int, np.ndarray] = {}


async def _blank(request: Request) -> Response:
    """The yardstick of the first paint: one word."""
    del request
    return Response("<!doctype html><title>Blank</title><p>Blank", media_type="text/html")


@contextmanager
def _served(rows: int, cols: int) -> Iterator[tuple[Any, str]]:
    """A browser, and the address of a worktable with a design of that many pixels."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as scratch:
        design = on_disk(Path(scratch) / "design", waxings(4), soft_masks(4, rows, cols))
        desk = Session(Path(scratch), design)
        listening = socket.create_server(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        app = make_app(desk, hosts=[f"127.0.0.1:{port}"], token=TOKEN)
        routes = app.app.app.router.routes  # type: ignore[attr-defined]
        routes[:0] = [Route("/api/still", _still, methods=["POST"]), Route("/blank", _blank)]
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False, ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        try:
            while not server.started:
                time.sleep(0.02)
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=shutil.which("chromium"))
                yield browser, f"http://127.0.0.1:{port}"
                browser.close()
        finally:
            server.should_exit = True
            thread.join(10)


def _measured(rows: int, cols: int) -> dict[str, list[float]]:
    with _served(rows, cols) as (browser, base):
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.goto(f"{base}/#{TOKEN}")
        page.wait_for_selector("canvas.now[data-shown^=full]")
        page.wait_for_timeout(4000)  # the checks of the start are done
        page.evaluate(SCRIPT, 5)
        found: dict[str, list[float]] = page.evaluate(SCRIPT, ROUNDS)
        return found


def _first_paints(rows: int, cols: int) -> str:
    with _served(rows, cols) as (browser, base):

        def paint(address: str) -> float:
            context = browser.new_context(viewport={"width": 1440, "height": 900})  # nothing kept from the last time
            page = context.new_page()
            page.goto(base + address)
            ms: float = page.evaluate(PAINTED)
            context.close()
            return ms

        paint(f"/#{TOKEN}")
        pairs = [(paint(f"/#{TOKEN}"), paint("/blank")) for _ in range(PAINTS)]
    of_page = [own for own, _ in pairs]
    ratio = statistics.median(own / blank for own, blank in pairs)
    return f"{statistics.median(of_page):.0f} ms, at most {max(of_page):.0f}; {ratio:.1f} x"


def _told(rows: int, cols: int) -> str:
    found = _measured(rows, cols)

    def line(work: str, still: str) -> str:
        times = found[work]
        ratio = statistics.median(a / b for a, b in zip(times, found[still], strict=True))
        return f"{statistics.median(times):.0f}/{np.percentile(times, 95):.0f} ms, {ratio:.2f} x"

    return f"{line('half', 'stillHalf')}; {line('full', 'stillFull')}"


ROWS = {
    "paint": Row(
        what="worktable, 1 MP, from opening to the first paint, against a page of one word",
        reach="1500 ms",
        measure=lambda: _first_paints(866, 1155),
    ),
    "slider 1": Row(
        what="slider to pixels, 1 MP: first feedback, full; median/p95, against a plain fetch and draw",
        reach="40/60, 1.5 x; 60/100, 1.35 x",
        measure=lambda: _told(866, 1155),
    ),
    "slider 4": Row(
        what="slider to pixels, 4 MP: first feedback, full; median/p95, against a plain fetch and draw",
        reach="70/100, 1.5 x; 180/230, 1.35 x",
        measure=lambda: _told(1732, 2309),
    ),
}
