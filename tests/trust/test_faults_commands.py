"""Every command that writes: nothing half written where the maker looks, no network, any locale and time zone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

import batiksim
from batiksim import jobs
from batiksim.cli import main
from batiksim.document.autosave import Autosave
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from tests.trust.faults_disk import Disk

ROOT = Path(batiksim.__file__).resolve().parent.parent
linux = pytest.mark.skipif(sys.platform != "linux", reason="watches the disk through /proc")

COMMANDS = {
    "new": "new OUT/fresh",
    "preview": "preview DESIGN --out OUT",
    "stages": "stages DESIGN --out OUT/stages.png",
    "moving": "stages DESIGN --out OUT/stages.gif --animate",
    "check": "check DESIGN --out OUT/check.png",
    "corrected": "check DESIGN --corrected OUT",
    "overdye": "overdye demo --out OUT/overdye.png",
    "pot": "pot lemon=5,turquoise=1 --out OUT/pot.png",
    "chart": "chart ladders demo --out OUT/ladders.png",
    "strip": "strip demo --out OUT",
    "trace": "trace DESIGN --out OUT",
    "risk": "risk DESIGN --out OUT/risk.pdf",
    "handout": "handout DESIGN --out OUT/handout.pdf --one-page",
    "workshop": "workshop DESIGN --makers 3 --out OUT/workshop.pdf",
    "orders": "orders DESIGN --out OUT",
    "from-picture": "from-picture PICTURE --out OUT/apart --steps 1 --pots 1",
}
LONG = ("moving", "corrected", "trace", "check", "handout", "overdye", "chart", "orders")
_network: list[str] = []


def _hook(event: str, given: tuple[object, ...]) -> None:
    if event in ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname", "urllib.Request"):
        _network.append(f"{event} {given}")


sys.addaudithook(_hook)


@pytest.fixture(scope="module")
def scratch(tmp_path_factory) -> Path:
    made = tmp_path_factory.mktemp("commands")
    jobs.new_design(made / "design")
    Image.linear_gradient("L").resize((60, 40)).convert("RGB").save(made / "picture.png")
    return made


@linux
@pytest.mark.parametrize("name", [pytest.param(name, marks=[pytest.mark.full] * (name in LONG)) for name in COMMANDS])
def test_nothing_is_half_written_and_nothing_asked_of_the_network(scratch, tmp_path, name):
    places = {"DESIGN": str(scratch / "design"), "PICTURE": str(scratch / "picture.png")}
    words = [places.get(word, word.replace("OUT", str(tmp_path))) for word in COMMANDS[name].split()]
    _network.clear()
    with Disk(tmp_path) as disk:
        result = CliRunner().invoke(main, words)
    assert result.exit_code == 0, result.output
    assert disk.written_openly == []
    assert disk.moments or name == "corrected"  # nothing to correct
    assert _network == []


def shell(words: list[str], **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-X", "warn_default_encoding", *words],
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def _there() -> list[str]:
    if shutil.which("locale") is None:
        return []
    told = subprocess.run(["locale", "-a"], capture_output=True, text=True, timeout=20).stdout.split()
    return [one for one in told if one.lower().partition(".")[0] in ("tr_tr", "de_de", "ar_eg", "fa_ir", "ja_jp")]


PLAIN = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "TZ": "Pacific/Kiritimati"}
PREVIEWS = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")
from batiksim import jobs
jobs.save_preview(sys.argv[1], sys.argv[2])
"""


@pytest.mark.full
@pytest.mark.parametrize(
    "changed", [PLAIN, {"TZ": "America/St_Johns"}, *({"LC_ALL": one} for one in _there())], ids=str
)
def test_same_bytes_in_any_locale_and_time_zone(scratch, tmp_path, changed):
    """Also where text files are not UTF-8 unless asked for; a file opened without saying so is told of."""
    said = shell(["-c", PREVIEWS, str(scratch / "design"), str(tmp_path / "there")], **changed)
    ours = [line for line in said.splitlines() if "EncodingWarning" in line and "batiksim" in line]
    assert ours == []
    jobs.save_preview(scratch / "design", tmp_path / "here")
    for path in (tmp_path / "here").iterdir():
        assert (tmp_path / "there" / path.name).read_bytes() == path.read_bytes()


# Rights


@pytest.fixture
def as_nobody() -> Iterator[Path]:
    """A folder that anyone may look into, and the rights of a user who is no administrator."""
    made = Path(tempfile.mkdtemp(prefix="batiksim-rights-"))
    made.chmod(0o755)
    jobs.new_design(made / "design")
    for path in made.rglob("*"):
        path.chmod(0o755 if path.is_dir() else 0o644)
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield made
    finally:
        if root:
            os.seteuid(0)
        for path in (made, *made.rglob("*")):
            path.chmod(0o755)
        shutil.rmtree(made)


def lock(path: Path, mode: int) -> None:
    """Change rights, as the owner may."""
    mine = os.geteuid()
    os.seteuid(os.getuid())
    path.chmod(mode)
    os.seteuid(mine)


@pytest.mark.full
@pytest.mark.skipif(os.name == "nt", reason="rights are other there")
def test_a_folder_that_may_only_be_read(as_nobody):
    lock(as_nobody, 0o555)
    with pytest.raises(BatikError, match="can't be written to .*Permission denied.*another folder"):
        jobs.save_preview(as_nobody / "design", as_nobody / "out")
    lock(as_nobody / "design", 0o555)
    for write in (jobs.risk, jobs.handout):
        with pytest.raises(BatikError, match="can't be written .*Permission denied"):
            write(as_nobody / "design", as_nobody / "design" / "paper.pdf")
    told: list[object] = []
    table = jobs.open_design(as_nobody / "design")
    keeper = Autosave(
        as_nobody / "design" / "design.toml", MaskCache(lambda use: None), on_saved=lambda *t: told.append(t)
    )
    keeper.save_soon(1, table.design, say("document.change.set_title"))
    keeper.close()
    _, error = told[0]
    assert "Permission denied" in str(error)
    assert sorted(path.name for path in as_nobody.iterdir()) == ["design"]


@pytest.mark.skipif(os.name == "nt", reason="rights are other there")
@pytest.mark.parametrize("name", ["design.toml", "keep-leaves.png"])
def test_a_file_that_may_not_be_read(as_nobody, name):
    lock(as_nobody / "design" / name, 0o000)
    with pytest.raises(BatikError, match="Permission denied|may not be read|can't be read") as caught:
        jobs.open_design(as_nobody / "design")
    assert name in str(caught.value)
