"""How time and memory grow with the cloth: every work that reads whole masks, on cloths of 1 to 300 million pixels.

    python tests/bench/curve.py SCRATCH [--mp 1,3,10] [--work preview,check] [--chart FILE.svg] [--draw-only]

Each work runs as a command of its own, one at a time. Counted are the processor's seconds (other programs disturb them
less than the clock's) and the process's largest memory. What the same command takes on a cloth of 0.05 MP, its start,
is taken off before the exponent p of `size ** p` is fitted, so that a slow start can't hide growth. All cloths are
drawn at 300 dpi, so a larger one is more cloth with more shapes, not the same drawing enlarged. SCRATCH/found.json
keeps what was measured; later runs add to it.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))

from curve_chart import draw_chart  # noqa: E402

from batiksim.files.toml.designs import write_design  # noqa: E402
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Wax  # noqa: E402

DPI, WAXINGS = 300, 4
START_MP = 0.05
SIZES = (START_MP, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0)
DYES = ("#f0d92e", "#e0567a", "#2f8f9d", "#1d2b53")  # invented
ASPECT = 16 / 9
Found = dict[str, dict[str, dict[str, float]]]


def size_of(mp: float) -> tuple[int, int]:
    """Rows and columns of a cloth of so many million pixels."""
    rows = round((mp * 1e6 / ASPECT) ** 0.5)
    return rows, round(rows * ASPECT)


def waves(rows: int, cols: int, *, seed: int) -> np.ndarray:
    """Dark marks on white, uint8: shapes of 5 to 40 mm that never repeat, with edges of some 4 pixels."""
    rng = np.random.default_rng(seed)
    mm = rng.uniform(15, 80, 6)
    turn = rng.uniform(0, 2 * np.pi, 6)
    per_px = 2 * np.pi * 25.4 / DPI / mm
    along, down = per_px * np.cos(turn), per_px * np.sin(turn)
    shift = rng.uniform(0, 2 * np.pi, 6)
    left, top = np.arange(cols)[None] * along[:, None], np.arange(rows)[None] * down[:, None] + shift[:, None]
    across = np.concatenate([np.cos(left), np.sin(left)]).astype(np.float32)
    upright = np.concatenate([np.sin(top), np.cos(top)]).astype(np.float32)
    steep = 255 / 4 / float(np.sqrt((per_px**2).sum() / 2))
    picture = np.empty((rows, cols), np.uint8)
    for first in range(0, rows, 256):
        some = upright[:, first : first + 256].T @ across
        picture[first : first + 256] = np.clip(128 - steep * (some - 1.2), 0, 255)
    return picture


def designs_of(folder: Path, mp: float) -> None:
    """A folder with four masks, a design of four waxings, and one whose wax cracks and whose dye creeps."""
    rows, cols = size_of(mp)
    folder.mkdir(parents=True, exist_ok=True)
    for n in range(WAXINGS):
        Image.fromarray(waves(rows, cols, seed=n)).save(folder / f"wax-{n}.png", compress_level=1)
    cloth = Cloth(width_mm=cols * 25.4 / DPI)
    dyes = tuple(Dye(name=f"dye {n}", colour=colour) for n, colour in enumerate(DYES))
    uses = [MaskUse(picture=f"wax-{n}.png", marks="dark") for n in range(WAXINGS)]
    plain = [step for n in range(WAXINGS) for step in (Wax(mask=uses[n]), DyeBath(paints=(Paint(pot=f"dye {n}"),)))]
    creeping = Paint(pot="dye 1", where=uses[1], spread=True)
    worn = (Wax(mask=uses[0]), DyeBath(paints=(creeping,)), Wax(mask=uses[2], crackle=0.5), plain[-1])
    write_design(Design(title="Size", cloth=cloth, dyes=dyes, steps=tuple(plain)), folder / "design.toml")
    write_design(Design(title="Worn", cloth=cloth, dyes=dyes, steps=worn), folder / "worn.toml")


def works(folder: Path, mp: float) -> dict[str, list[str]]:
    """The commands, by name; `from-picture` takes the finished cloth that `preview` left."""
    width = f"{size_of(mp)[1] * 25.4 / DPI:.1f}"
    return {
        "preview": ["preview", f"{folder}/design.toml", "--out", f"{folder}/plates"],
        "check": ["check", f"{folder}/design.toml"],
        "spread": ["preview", f"{folder}/worn.toml", "--out", f"{folder}/worn"],
        "trace": ["trace", f"{folder}/design.toml", "--out", f"{folder}/tracing"],
        "from-picture": ["from-picture", f"{folder}/plates/cloth.png", "--width", width, "--out", f"{folder}/apart"],
    }


def run(arguments: list[str], log: Path) -> dict[str, float]:
    """Run one command; its processor seconds, clock seconds and largest memory in GB."""
    began = time.perf_counter()
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    files = [(os.POSIX_SPAWN_DUP2, out, 1), (os.POSIX_SPAWN_DUP2, out, 2)]
    command = [sys.executable, "-m", "batiksim", *arguments]
    child = os.posix_spawn(sys.executable, command, dict(os.environ), file_actions=files)
    os.close(out)
    _, status, used = os.wait4(child, 0)
    if status:
        raise RuntimeError(f"{' '.join(arguments)} ended with {status}: {log.read_text()[-500:]}")
    clock = time.perf_counter() - began
    return {"cpu_s": used.ru_utime + used.ru_stime, "clock_s": clock, "gb": used.ru_maxrss * 1024 / 1e9}


def measure(scratch: Path, sizes: list[float], names: list[str], found: Found) -> None:
    """Measure what is asked, telling and keeping each as it comes."""
    for mp in sizes:
        folder = scratch / f"{mp:g}"
        if not (folder / "worn.toml").exists():
            designs_of(folder, mp)
        for name, arguments in works(folder, mp).items():
            if name not in names:
                continue
            for old in ("worn", "tracing", "apart"):
                _empty(folder / old)
            if mp == START_MP:
                run(arguments, scratch / "log")  # loops are compiled and files are in memory
                _empty(folder / "apart")
            now = run(arguments, scratch / "log")
            found.setdefault(name, {})[f"{mp:g}"] = now
            (scratch / "found.json").write_text(json.dumps(found, indent=1))
            print(
                f"{name:<9}{mp:>7g} MP {now['cpu_s']:8.1f} s cpu {now['clock_s']:8.1f} s {now['gb']:6.2f} GB",
                flush=True,
            )


def _empty(folder: Path) -> None:
    for path in folder.glob("*"):
        if path.is_file():
            path.unlink()


def exponent(found: dict[str, dict[str, float]], what: str, *, least_mp: float = 1.0) -> float:
    """Slope of log(cost above its start) on log(size)."""
    start = found[f"{START_MP:g}"][what]
    points = [(float(mp), one[what] - start) for mp, one in found.items() if float(mp) >= least_mp]
    sizes, costs = np.array([point for point in points if point[1] > 0]).T
    return float(np.polyfit(np.log(sizes), np.log(costs), 1)[0])


def told(found: Found) -> str:
    """The growth of every work as a table."""
    lines = [f"{'work':<10}{'time ^':>8}{'memory ^':>10}{'at most':>12}"]
    for name, one in found.items():
        most = max(one, key=float)
        line = f"{exponent(one, 'cpu_s'):>8.2f}{exponent(one, 'gb'):>10.2f}"
        lines.append(f"{name:<10}{line}{one[most]['gb']:>8.2f} GB, {one[most]['cpu_s']:.0f} s at {most} MP")
    return "\n".join(lines)


def main(arguments: list[str]) -> None:
    """Measure, tell and draw."""
    ask: Any = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("scratch", type=Path)
    ask.add_argument("--mp", default=",".join(f"{mp:g}" for mp in SIZES))
    ask.add_argument("--work", default="preview,check,spread,trace,from-picture")
    ask.add_argument("--chart", type=Path)
    ask.add_argument("--draw-only", action="store_true")
    asked = ask.parse_args(arguments)
    kept = asked.scratch / "found.json"
    found: Found = json.loads(kept.read_text()) if kept.exists() else {}
    if not asked.draw_only:
        asked.scratch.mkdir(parents=True, exist_ok=True)
        measure(asked.scratch, [float(mp) for mp in asked.mp.split(",")], asked.work.split(","), found)
    if any(len(one) < 3 for one in found.values()):
        return
    print(told(found))
    if asked.chart:
        asked.chart.write_text(draw_chart(found), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
