"""A worktable served for a test, and a real Chromium that looks at it; where there is none, the tests say so."""

from __future__ import annotations

import json
import shutil
import socket
import threading
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from PIL import Image, ImageDraw

from batiksim.files.toml.designs import write_design
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Pot, Wax
from batiksim.worktable.server import make_app
from batiksim.worktable.session import Session
from tests.pseudo_language import forget, pseudo_locale, use_locale
from tests.waiting import until

# Playwright keeps an event loop running in the thread that started it. It has one of its own, in which the tests of the
# page run from beginning to end, so that other tests find none running in theirs.
BROWSING = ThreadPoolExecutor(1, "browsing")
TOKEN = "token-of-the-test"
ROWS, COLS = 300, 400


def mask(*boxes: tuple[int, int, int, int]) -> Image.Image:
    """A white picture, 400 x 300, with black boxes (left, top, right, bottom)."""
    picture = Image.new("L", (COLS, ROWS), 255)
    for box in boxes:
        ImageDraw.Draw(picture).rectangle(box, fill=0)
    return picture


def muddy_cloth(folder: Path) -> Path:
    """Green leaves at the left, pink over everything, and only then wax on the leaves: brown. 200 x 150 mm."""
    leaves = MaskUse(picture="leaves.png", marks="dark")
    design = Design(
        title="Brown leaves",
        cloth=Cloth(width_mm=200),
        dyes=(
            Dye(name="leaf", colour="#4f9a3a"),
            Dye(name="pink", colour="#d6246e"),
            Dye(name="ink", colour="#2a2c55"),
        ),
        pots=(Pot(name="pale ink", parts={"ink": 1.0}, strength=0.5),),
        steps=(
            DyeBath(paints=(Paint(pot="leaf", where=leaves),)),
            DyeBath(paints=(Paint(pot="pink"),)),
            Wax(mask=leaves, tool="brush"),
            Wax(mask=MaskUse(picture="petals.png", marks="dark"), tool="brush"),
            DyeBath(paints=(Paint(pot="pale ink"),)),
        ),
    )
    write_design(design, folder)
    mask((20, 40, 180, 260)).save(folder / "leaves.png")
    mask((230, 40, 380, 160)).save(folder / "petals.png")
    return folder


class Served:
    """A worktable that runs in a thread. address : what the command would open."""

    def __init__(self, home: Path, design: Path | None, *, port: int = 0, token: str = TOKEN) -> None:
        self.home = home
        self.token = token
        self.session = Session(home, design)
        listening = socket.create_server(("127.0.0.1", port))
        self.port = listening.getsockname()[1]
        app = make_app(self.session, hosts=[f"127.0.0.1:{self.port}", f"localhost:{self.port}"], token=token)
        config = uvicorn.Config(app, log_level="error", access_log=False, ws="none", timeout_graceful_shutdown=1)
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [listening]}, daemon=True)
        self.thread.start()
        self.base = f"http://127.0.0.1:{self.port}"
        self.address = f"{self.base}/#{token}"
        until(lambda: self.server.started, "the server")

    def ask(self, name: str, **entries: Any) -> dict[str, Any]:
        request = urllib.request.Request(
            f"{self.base}/api/{name}", json.dumps(entries).encode(), {"x-worktable-token": self.token}
        )
        with urllib.request.urlopen(request) as answer:
            found: dict[str, Any] = json.load(answer)
        return found

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join(10)


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """serve(design) : a worktable with a design's folder, or with the sample (None)."""
    running: list[Served] = []

    def start(design: Path | None = None, **how: Any) -> Served:
        home = tmp_path / "home"
        home.mkdir(exist_ok=True)
        running.append(Served(home, design, **how))
        return running[-1]

    yield start
    for one in running:
        one.stop()


@pytest.fixture(scope="module")
def sample_served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A worktable with the sample, for tests of what is refused: whatever they ask, nothing of it changes."""
    served = Served(tmp_path_factory.mktemp("home"), None)
    yield served
    served.stop()


@pytest.fixture
def muddy(tmp_path: Path) -> Path:
    return muddy_cloth(tmp_path / "home" / "brown-leaves")


@pytest.fixture
def boxes() -> Callable[..., Image.Image]:
    """A white picture, 400 x 300, with black boxes (left, top, right, bottom)."""
    return mask


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser takes long: what sees one belongs to the full part."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.full)


@pytest.hookimpl(wrapper=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> Any:
    """Tests that see the browser run in its thread."""
    if "browser" in pyfuncitem.fixturenames:
        usual = pyfuncitem.obj
        pyfuncitem.obj = lambda **given: BROWSING.submit(usual, **given).result()
    return (yield)


def chromium() -> str | None:
    """Where the system has Chromium, or None."""
    named = map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))
    return next((path for path in named if path), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Chromium: the system's, or the one that playwright installed."""
    playwright = pytest.importorskip("playwright.sync_api", reason="the page's tests need playwright")
    started = BROWSING.submit(playwright.sync_playwright().start).result()
    path = chromium()
    if path is None and not Path(started.chromium.executable_path).exists():
        BROWSING.submit(started.stop).result()
        pytest.skip("no Chromium here: the page's tests were not run")
    opened = BROWSING.submit(started.chromium.launch, executable_path=path).result()
    yield opened
    BROWSING.submit(opened.close).result()
    BROWSING.submit(started.stop).result()


class Visitor:
    """A page in the browser as a person uses it; troubles of the page are kept in `errors`."""

    def __init__(self, browser: Any, served: Served, **context: Any) -> None:
        self.errors: list[str] = []
        self.context = browser.new_context(**{"viewport": {"width": 1360, "height": 860}} | context)
        self.context.set_default_timeout(40_000)
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(f"pageerror: {error}"))
        self.under_way: set[Any] = set()  # requests, but for the one that stays open to hear what happens
        self.page.on("request", lambda sent: "/api/events/" in sent.url or self.under_way.add(sent))
        for ended in ("requestfinished", "requestfailed"):
            self.page.on(ended, lambda sent: self.under_way.discard(sent))
        self.page.on("console", lambda said: said.type == "error" and self.errors.append(f"console: {said.text}"))
        self.page.goto(served.address)
        self.full()

    def full(self) -> None:
        """Wait until the cloth is shown at full size."""
        self.page.wait_for_selector("canvas.now[data-shown^=full]")

    def key(self, name: str) -> Any:
        """Whatever has that data-key."""
        return self.page.locator(f'[data-key="{name}"]')

    def saved(self) -> None:
        """Wait until the page says that all is saved."""
        self.page.wait_for_selector("#kept.saved")

    def settled(self) -> None:
        """Wait until all is answered, and what the answers led to has been asked and drawn as well."""
        self.until(lambda: not self.under_way and not self.drawn() and not self.under_way, "all answers")

    def drawn(self) -> None:
        """Let the page draw twice."""
        self.page.evaluate("() => new Promise((go) => requestAnimationFrame(() => requestAnimationFrame(() => go())))")

    def pixel(self, x: float, y: float, canvas: str = "canvas.now") -> tuple[int, int, int]:
        """What the canvas shows at shares of the cloth."""
        script = "(c, [x, y]) => [...c.getContext('2d').getImageData(c.width * x, c.height * y, 1, 1).data]"
        red, green, blue, _ = self.page.locator(canvas).evaluate(script, [x, y])
        return red, green, blue

    def until(self, seen: Callable[[], Any], what: str) -> Any:
        """Wait for something to come true; if it never does, the error has what can be read on the page."""
        try:
            return until(seen, what, pause=lambda: self.page.wait_for_timeout(40))
        except AssertionError as error:
            raise AssertionError(f"{error}; errors: {self.errors}; the page: {self.page.inner_text('body')}") from None


@pytest.fixture
def visit(browser: Any) -> Iterator[Callable[..., Visitor]]:
    """visit(served) : a page that has loaded; at the end none may have had any error."""
    visitors: list[Visitor] = []

    def go(served: Served, **context: Any) -> Visitor:
        visitors.append(Visitor(browser, served, **context))
        return visitors[-1]

    yield go
    errors = [error for one in visitors for error in one.errors]
    for one in visitors:
        BROWSING.submit(one.context.close).result()
    assert errors == []


@pytest.fixture
def two_languages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """English, and a made-up language whose sentences stand in double brackets."""
    (tmp_path / "locale").mkdir()
    pseudo_locale(tmp_path / "locale")
    use_locale(tmp_path / "locale", monkeypatch)
    yield
    monkeypatch.undo()
    forget()


@pytest.fixture
def session(tmp_path, on_disk, build):
    """A session with one cloth, its titles in words; it is closed at the end."""
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun"), title="Tide"), name="tide")
    made = Session(tmp_path, folder)
    yield made
    made.close()
