"""Whole commands: a 12 MP preview from PNG to PNG, its memory, and how soon a command starts."""

from __future__ import annotations

import os
import re
import resource
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import numpy as np
from pictures import on_disk, soft_masks, waxings
from PIL import Image
from timing import Row, ratio

from batiksim.cloth.render import default_threads, warm_up
from batiksim.errors import BatikError
from batiksim.jobs import save_preview
from batiksim.types import Floats
from tests.trust.endless import ENDLESS, READERS, SIZE

ROWS_PX, COLS_PX = 3000, 4000


def _in_scratch(measure: Callable[[Path], str]) -> str:
    with tempfile.TemporaryDirectory() as scratch:
        return measure(Path(scratch))


def _preview_against_pillow(scratch: Path) -> str:
    """Pillow alone: decode the masks, encode the plates with the same settings, as many threads."""
    design = on_disk(scratch / "design", waxings(4), soft_masks(4, ROWS_PX, COLS_PX))
    out = scratch / "out"
    warm_up()
    saved = save_preview(design, out)
    names = [name for name in saved.files if name.startswith(("plate", "cloth"))]
    plates = [Image.open(out / name).convert("RGB") for name in names]
    threads = default_threads()

    def pillow() -> None:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(lambda path: Image.open(path).load(), sorted(design.glob("*.png"))))
            list(pool.map(lambda item: item[1].save(scratch / item[0], **_settings()), zip(names, plates, strict=True)))

    return f"{ratio(lambda: save_preview(design, out), pillow, rounds=3):.2f} x Pillow"


def _settings() -> dict[str, int]:
    from batiksim.files.pictures import images

    return dict(images.QUICK)


def _preview_memory(scratch: Path) -> str:
    """Peak resident memory of the whole process over its pixels, and how much of it is there before any picture."""
    found = []
    for waxed in (4, 8):
        design = on_disk(scratch / f"design-{waxed}", waxings(waxed, waxed), soft_masks(waxed, ROWS_PX, COLS_PX))
        found.append(_peak("preview", str(design), "--out", str(scratch / "out")) / (ROWS_PX * COLS_PX))
    return f"{found[0]:.0f}, {found[1]:.0f} B/px"


def _peak(*words: str) -> float:
    """Peak resident bytes of a batiksim command in a process of its own (Linux; rusage would count its parent's)."""
    code = (
        "import pathlib, sys; from batiksim.cli import main\n"
        "try: main(sys.argv[1:])\n"
        "finally: print('peak', pathlib.Path('/proc/self/status').read_text().split('VmHWM:')[1].split()[0])"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], check=True, capture_output=True, text=True)
    peak = re.search(r"peak (\d+)", done.stdout)
    if peak is None:
        raise RuntimeError(done.stderr)
    return int(peak.group(1)) * 1024.0


def _start(*words: str) -> str:
    """A command over a bare `import numpy`, in turn, by processor time and by the clock."""
    command = [sys.executable, "-m", "batiksim", *words]
    bare = [sys.executable, "-c", "import numpy"]
    _spent(command)
    _spent(bare)
    ratios = [_spent(command) / _spent(bare) for _ in range(7)]
    processor, clock = np.median(ratios, axis=0)
    return f"{processor:.1f}, {clock:.1f} x numpy"


def _spent(command: list[str]) -> Floats:
    """Seconds (2,) that a process takes: of the processor, and by the clock."""
    warm = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, env=warm, check=True, capture_output=True)
    after, ended = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    return np.array([after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, ended - begun])


def _start_preview(scratch: Path) -> str:
    design = on_disk(scratch / "design", waxings(4), soft_masks(4, 866, 1155))
    return _start("preview", str(design), "--out", str(scratch / "out"))


def _endless(scratch: Path) -> str:
    """The slowest of all readers and all files without end, against tomllib on as many bytes of plain keys."""
    plain = "".join(f"key{number} = {number}\n" for number in range(SIZE))[:SIZE].rpartition("\n")[0]
    ratios = {}
    for shape, data in ENDLESS.items():
        file = scratch / "x.toml"
        file.write_bytes(data)
        for read in READERS:

            def refused(read: Callable[[Path], object] = read, file: Path = file) -> None:
                with suppress(BatikError):
                    read(file)

            ratios[f"{read.__name__}, {shape}"] = ratio(refused, lambda: tomllib.loads(plain), rounds=1)
    slowest = max(ratios, key=lambda name: ratios[name])
    return f"{ratios[slowest]:.1f} x tomllib"


ROWS = {
    "endless": Row(
        what="the slowest file without end (a part of the largest), against tomllib on as many bytes of plain keys",
        reach="20 x tomllib",
        measure=lambda: _in_scratch(_endless),
    ),
    "preview": Row(
        what="preview, 12 MP, PNG to PNG, against Pillow alone with as many threads",
        reach="1.3 x Pillow",
        measure=lambda: _in_scratch(_preview_against_pillow),
    ),
    "memory": Row(
        what="peak memory of that, with 4 and with 8 waxings and dyeings",
        reach="40 B/px, not growing",
        measure=lambda: _in_scratch(_preview_memory),
    ),
    "help": Row(
        what="batiksim --help, warm, by processor time and by the clock",
        reach="4 x numpy",
        measure=lambda: _start("--help"),
    ),
    "small": Row(
        what="preview of a 1 MP design, warm, by processor time and by the clock",
        reach="10 x by processor",
        measure=lambda: _in_scratch(_start_preview),
    ),
}
