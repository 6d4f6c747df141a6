"""Runs the notebooks from top to bottom and stores them with their pictures reduced.

Run it without arguments after a change; a full repository shouldn't grow by megabytes for it.
"""

from __future__ import annotations

import asyncio
import base64
import io
import re
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from PIL import Image

NOTEBOOKS = Path(__file__).resolve().parent.parent.parent / "notebooks"
MUCH_SMALLER = 0.75
EMBEDDED_PX = 640  # width of a picture within HTML


def run(path: Path) -> nbformat.NotebookNode:
    """The notebook with its outputs, run in its own folder; safe in a thread."""
    loop = asyncio.new_event_loop()
    try:
        return loop.run_until_complete(_client(path).async_execute())
    finally:
        loop.run_until_complete(loop.shutdown_asyncgens())
        loop.close()


def _client(path: Path) -> NotebookClient:
    notebook = nbformat.read(path, as_version=4)
    place = {"metadata": {"path": str(path.parent)}}
    return NotebookClient(notebook, timeout=120, kernel_name="python3", resources=place)


def reduced(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The same with small pictures, one kind of each, and nothing that changes from run to run."""
    for cell in notebook.cells:
        cell.metadata = nbformat.NotebookNode()
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            if "text/html" in data:
                output["data"] = {"text/html": _EMBEDDED.sub(_embedded, data["text/html"]), "text/plain": "<picture>"}
            elif "image/png" in data:
                output["data"] = _small(data["image/png"]) | {"text/plain": "<picture>"}
                output["metadata"] = {}
    return notebook


_EMBEDDED = re.compile(r"data:image/png;base64,([\w+/=]+)")


def _embedded(found: re.Match[str]) -> str:
    ((mime, data),) = _small(found[1], wide=EMBEDDED_PX).items()
    return f"data:{mime};base64,{data}"


def _small(encoded: str, *, wide: int = 10_000) -> dict[str, str]:
    """A picture, at most so wide, as PNG, its colours untouched; as JPEG where that is much smaller."""
    made = {}
    with Image.open(io.BytesIO(base64.b64decode(encoded))) as picture:
        picture.thumbnail((wide, 4 * wide))
        for kind, mime, keys in (("png", "image/png", {}), ("jpeg", "image/jpeg", {"quality": 80, "subsampling": 0})):
            out = io.BytesIO()
            picture.convert("RGB").save(out, kind, optimize=True, **keys)
            made[mime] = out.getvalue()
    best = "image/jpeg" if len(made["image/jpeg"]) < MUCH_SMALLER * len(made["image/png"]) else "image/png"
    return {best: base64.b64encode(made[best]).decode()}


if __name__ == "__main__":
    for path in sorted(NOTEBOOKS.glob("*.ipynb")):
        nbformat.write(reduced(run(path)), path)
        print(f"{path.name}: {path.stat().st_size / 1000:.0f} kB")
