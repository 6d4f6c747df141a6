"""What a file from anyone may try: to lead elsewhere, to be without end, to swell in memory, to be run."""

from __future__ import annotations

import os
import resource
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PIL import Image

import batiksim
from batiksim.errors import BatikError
from batiksim.files.disk.resolve import SHARED
from batiksim.files.measurements.spectra import read_spectrum
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.pictures import opening
from batiksim.files.pictures.images import MOST_PIXELS, read_picture
from batiksim.files.sources import bring_along
from batiksim.files.toml.designs import picture_path, read_design
from batiksim.files.toml.dyebooks import read_book
from batiksim.files.toml.strips import read_strip
from tests.sources import names, tops
from tests.trust.endless import ENDLESS, HEAD, READERS
from tests.trust.readers import SPECTRUM
from tests.trust.work import Calls, no_hang

MOST_CALLS = 15  # of functions, for each byte that is read: twice what the busiest of them makes
LEMON = '[[dye]]\nname = "lemon"\ncolour = "#f0d92e"\n'


def design(folder: Path, text: str) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "design.toml").write_text(HEAD + text, encoding="utf-8")
    return folder


def named(kind: str, name: str) -> str:
    """A design that names a file as its mask, its want's area, its dye's book or its dye's spectrum."""
    return {
        "mask": f'[[step]]\nwax = "{name}"\n',
        "paint": f'{LEMON}[[step]]\ndye = {{ pot = "lemon", where = "{name}" }}\n',
        "want": f'[[want]]\ncolour = "#102030"\nwhere = "{name}"\n',
        "book": f'[[dye]]\nname = "lemon"\nbook = "{name}"\n',
        "spectrum": f'[[dye]]\nname = "lemon"\nspectrum = "{name}"\n',
    }[kind]


KINDS = ("mask", "paint", "want", "book", "spectrum")
FILES = {"book": "book.toml", "spectrum": "sea.csv"}


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    """A folder beside the design's, with one good file of every kind."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    (folder / "book.toml").write_text('format = 1\n[[dye]]\nname = "lemon"\ncolour = "#f0d92e"\n', encoding="utf-8")
    (folder / "sea.csv").write_bytes(SPECTRUM)
    Image.new("L", (20, 20), 255).save(folder / "mask.png")
    return folder


# Links and paths


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("way", ["parent", "whole path", "link", "link to a folder", "through itself", "home"])
def test_a_design_reads_nothing_outside_its_folder(tmp_path, elsewhere, kind, way) -> None:
    file = FILES.get(kind, "mask.png")
    folder = tmp_path / "cloth"
    folder.mkdir()
    os.symlink(elsewhere / file, folder / f"link{Path(file).suffix}")
    os.symlink(elsewhere, folder / "inner")
    name = {
        "parent": f"../elsewhere/{file}",
        "whole path": f"{elsewhere}/{file}",
        "link": f"link{Path(file).suffix}",
        "link to a folder": f"inner/{file}",
        "through itself": f"inner/../../elsewhere/{file}",
        "home": f"~/{file}",
    }[way]
    with pytest.raises(BatikError, match=r"folder"):
        read_design(design(folder, named(kind, name)))


def test_a_book_reads_nothing_outside_its_folder(tmp_path, elsewhere) -> None:
    (tmp_path / "mine").mkdir()
    for name in ("../elsewhere/sea.csv", f"{elsewhere}/sea.csv"):
        text = f'format = 1\n[[dye]]\nname = "sea"\nspectrum = "{name}"\n'
        (tmp_path / "mine" / "book.toml").write_text(text, encoding="utf-8")
        with pytest.raises(BatikError, match=r"folder"):
            read_book(tmp_path / "mine" / "book.toml")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("way", ["whole path", "link"])
def test_a_shared_folder_is_the_makers_leave(tmp_path, elsewhere, kind, way, monkeypatch) -> None:
    file = FILES.get(kind, "mask.png")
    folder = tmp_path / "cloth"
    folder.mkdir()
    os.symlink(elsewhere / file, folder / f"link{Path(file).suffix}")
    name = f"{elsewhere}/{file}" if way == "whole path" else f"link{Path(file).suffix}"
    monkeypatch.setenv(SHARED, os.pathsep.join(["/nowhere", str(elsewhere)]))
    found = read_design(design(folder, named(kind, name)))
    for other in (f"../elsewhere/{file}", f"{elsewhere}/../elsewhere/{file}", "/etc/hostname"):
        with pytest.raises(BatikError):
            read_design(design(folder, named(kind, other)))
    made = bring_along(found, folder, tmp_path / "copy")
    assert all((tmp_path / "copy" / one).is_file() for one in made)
    assert (elsewhere / file).is_file()


@pytest.mark.parametrize("shared", ["", ".", "..", ":", "relative/folder"])
def test_nothing_is_shared_by_chance(tmp_path, elsewhere, shared, monkeypatch) -> None:
    monkeypatch.setenv(SHARED, shared)
    monkeypatch.chdir(elsewhere)
    with pytest.raises(BatikError, match="folder"):
        read_design(design(tmp_path / "cloth", named("mask", f"{elsewhere}/mask.png")))


def test_a_link_that_leads_to_itself(tmp_path, monkeypatch) -> None:
    folder = design(tmp_path / "cloth", named("mask", "round.png"))
    os.symlink("round.png", folder / "round.png")
    with pytest.raises(BatikError):
        read_design(folder)
    with pytest.raises(BatikError):
        picture_path(folder, "round.png")
    monkeypatch.setenv(SHARED, str(folder))
    with pytest.raises(BatikError):
        picture_path(folder, f"{folder}/round.png/x.png")


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/stdin"])
def test_a_device_is_no_file_of_a_design(tmp_path, device) -> None:
    folder = design(tmp_path / "cloth", named("mask", "endless.png"))
    os.symlink(device, folder / "endless.png")
    with pytest.raises(BatikError):
        read_design(folder)


def test_a_pipe_is_not_waited_for(tmp_path) -> None:
    for kind, name in (("mask", "pipe.png"), ("book", "pipe.toml"), ("spectrum", "pipe.csv")):
        folder = design(tmp_path / kind, named(kind, name))
        os.mkfifo(folder / name)
        with pytest.raises(BatikError, match="is not a"):
            read_design(folder)


# Files without end


@pytest.mark.some(8)
@pytest.mark.parametrize("shape", ENDLESS)
def test_a_file_without_end_is_told_in_few_words_after_little_work(tmp_path, shape) -> None:
    file = tmp_path / "x.toml"
    file.write_bytes(ENDLESS[shape])
    for read in READERS:
        told = None
        with no_hang(), Calls() as calls:
            try:
                read(file)
            except BatikError as error:
                told = str(error)
        assert told is not None or shape == "many checks"
        assert len(told or "") < 2_000
        assert calls.count < MOST_CALLS * len(ENDLESS[shape]), f"{read.__name__} works too much"


def test_larger_files_are_not_read_at_all(tmp_path) -> None:
    with open(tmp_path / "design.toml", "wb") as file:
        file.truncate(2**40)  # a terabyte that takes no room
    for read in READERS:
        with pytest.raises(BatikError, match="far too large"):
            read(tmp_path / "design.toml")


# Pictures that swell


def png(width: int, height: int, *, depth: int = 8, kind: int = 0, data: bytes = b"", extra: bytes = b"") -> bytes:
    """A PNG of any claim, with the data given. kind : as in its header, 0 grey, 2 colour, 6 colour and alpha."""
    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", head) + extra + piece(b"IDAT", data) + piece(b"IEND", b"")


def piece(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


MEASURE = """
import resource, sys
from batiksim.errors import BatikError
from batiksim.files.pictures.images import read_picture, read_rgb
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
for read in (read_picture, read_rgb):
    try:
        read(sys.argv[1])
    except BatikError as error:
        print(error)
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""
ZEROS = zlib.compress(bytes(60_000_000), 9)
BOMBS = {
    "billions of pixels": (png(2**31 - 1, 2**31 - 1), 20),
    "more pixels than may be": (png(20_001, 20_000, data=ZEROS), 20),
    "colour and alpha": (png(20_000, 18_000, kind=6, data=ZEROS), 20),
    "deep colour and alpha": (png(20_000, 18_000, depth=16, kind=6, data=ZEROS), 20),
    "a profile that swells": (png(9, 9, data=ZEROS, extra=piece(b"iCCP", b"x\0\0" + ZEROS)), 20),
    "words that swell": (png(9, 9, data=ZEROS, extra=piece(b"zTXt", b"x\0\0" + ZEROS) * 200), 80),
    "more data than pixels": (png(9, 9, data=ZEROS), 20),
    "fewer pixels than data": (png(4_000, 4_000, data=zlib.compress(b"\0" * 100)), 80),
}


@pytest.mark.full
@pytest.mark.parametrize("bomb", BOMBS)
def test_a_picture_that_swells_takes_little_memory(tmp_path, bomb) -> None:
    raw, most_mb = BOMBS[bomb]
    (tmp_path / "x.png").write_bytes(raw)
    assert len(raw) < 13_000_000
    assert grown_mb(tmp_path / "x.png") < most_mb


def grown_mb(file: Path) -> int:
    """How much memory a process of its own needed to read a picture both ways, in MB."""
    done = subprocess.run([sys.executable, "-c", MEASURE, str(file)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return int(done.stdout.split()[-1])


@pytest.mark.parametrize(("kind", "options"), [("WEBP", {"lossless": True}), ("PNG", {}), ("TIFF", {})])
def test_what_a_kind_of_file_takes_in_memory_is_limited(tmp_path, kind, options, monkeypatch) -> None:
    """A WebP of some kB may ask for 268 million pixels, or 4.5 GB; here the limit is lowered instead."""
    Image.new("RGBA", (300, 300), (1, 2, 3, 9)).save(tmp_path / "x", kind, **options)
    read_picture(tmp_path / "x")
    monkeypatch.setattr(opening, "_MOST_IN_MEMORY", 500_000)
    with pytest.raises(BatikError, match="far too many pixels"):
        read_picture(tmp_path / "x")


def test_a_jpeg_of_endless_passes_is_refused(tmp_path) -> None:
    file = tmp_path / "x.jpg"
    Image.new("L", (2_000, 2_000), 90).save(file, progressive=True)
    raw = file.read_bytes()
    read_picture(file)
    last = raw.rindex(b"\xff\xda")
    file.write_bytes(raw[:-2] + raw[last:-2] * 2_000 + raw[-2:])
    with no_hang(), Calls() as calls, pytest.raises(BatikError, match="far too many passes"):
        read_picture(file)
    assert not [name for name in calls.by_name if "decode" in name], "not a single pass is unpacked"


def test_an_honest_large_picture_is_still_read(tmp_path) -> None:
    """30 million flat pixels in 30 kB swell a thousand times and are no attack."""
    Image.new("L", (6_000, 5_000), 255).save(tmp_path / "x.png")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert read_picture(tmp_path / "x.png").grey.shape == (5_000, 6_000)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200_000
    assert MOST_PIXELS >= 300_000_000


def test_an_archive_is_never_opened(tmp_path) -> None:
    raw = b"PK\x03\x04" + zlib.compress(bytes(1000))
    for name in ("x.png", "x.toml", "x.csv"):
        (tmp_path / name).write_bytes(raw)
    for read in (read_picture, read_design, read_book, read_strip, read_swatches, read_spectrum):
        with pytest.raises(BatikError):
            read(tmp_path / ("x.png" if read is read_picture else "x.toml"))


# Nothing is run

RUNS = {
    "eval", "exec", "compile", "__import__", "pickle", "marshal", "shelve", "dill", "joblib", "yaml", "ctypes",
    "zipfile", "tarfile", "shutil.unpack_archive", "subprocess", "os.system", "os.popen", "os.execv", "os.spawnv",
    "runpy", "np.load", "numpy.load", "np.fromfile", "xml", "lxml", "tempfile.mktemp",
}  # fmt: skip


def test_no_code_of_batiksim_runs_or_unpacks_what_it_reads() -> None:
    """Read from the source: nothing is imported or called by which data becomes code, or an archive files."""
    root = Path(batiksim.__file__).parent
    files = [
        file for file in sorted(root.rglob("*.py")) if root / "docs" not in file.parents
    ]  # which run by themselves
    assert len(files) > 50
    for template in root.rglob("*.typ"):
        assert "eval(" not in template.read_text(encoding="utf-8"), template.name
    run = {file: (tops(file) | names(file)) & RUNS for file in files}
    assert {file: names for file, names in run.items() if names} == {}


@pytest.mark.parametrize("text", ["${HOME}", "$(touch x)", "{0.__class__}", "%(name)s", "{{ 7*7 }}", "`id`"])
def test_words_in_a_design_stay_words(tmp_path, text) -> None:
    folder = tmp_path / "cloth"
    folder.mkdir()
    (folder / "design.toml").write_text(HEAD.replace('"x"', f"'{text}'"), encoding="utf-8")
    assert read_design(folder).title == text
