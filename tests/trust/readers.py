"""Every reader of batiksim as one function of bytes, with good inputs to start from."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageCms, PngImagePlugin

from tests.trust.mutating import WORD

__all__ = ["FAMILIES", "Family"]

MOST_PIXELS = 4_000_000  # so that a claim of hundreds of millions is refused here; test_bombs tries the real limit
Read = Callable[[bytes], object]


@dataclass(frozen=True, kw_only=True)
class Family:
    """One kind of input. open_ : gives the reader, once; seeds : good inputs; most : bytes of an input."""

    open_: Callable[[Path], Read]
    seeds: Callable[[], list[bytes]]
    most: int = 20_000

    @property
    def words(self) -> tuple[bytes, ...]:
        """Every word, number and text of the seeds."""
        return tuple({found.group() for text in self.seeds() for found in WORD.finditer(text)})


DESIGN = b"""format = 1
title = "Tide pools"
maker = "Ada"
note = "two\\nlines"
[cloth]
width_mm = 450
colour = "#f1ede2"
grams_per_m2 = 120
surface = 0.015
[[dye]]
name = "sun"
colour = "#f0d92e"
build_up = { law = "power", bend = 0.8 }
[[dye]]
name = "sea"
spectrum = "sea.csv"
[[dye]]
name = "leaf"
spectrum = "many.txt"
sample = "A2"
[[dye]]
name = "lemon"
book = "book.toml"
[[pot]]
name = "green"
parts = { "sun" = 5, "sea" = 1 }
strength = 0.8
ml = 100
drops = { "lemon" = 6 }
[[step]]
wax = "mask.png"
grey = "thin"
marks = "dark"
clean = true
crackle = 0.3
tool = "canting"
paraffin = 0.6
edges = 0.3
cool = 0.4
seed = 7
note = "warm"
[[step]]
dye = [ { pot = "green", where = "mask.png", spread = true }, { pot = "sea", where = "mask.png", spread = 3.5 }, "sun" ]
[[step]]
dye = "lemon"
[[step]]
discharge = "mask.png"
strength = 0.5
[[step]]
discharge = true
[[step]]
remove_wax = true
[[want]]
name = "leaves"
at = [120, 80]
colour = "strong yellow green"
weight = 2
[[want]]
where = "mask.png"
marks = "light"
colour = "#102030"
[checks]
skip = ["fit"]
"""
BOOK = b"""format = 1
title = "My dyes"
currency = "EUR"
[[dye]]
name = "lemon"
colour = "#f0d92e"
build_up = { law = "saturating", bend = 1.5 }
cloth = { colour = "#f1ede2", surface = 0.015, note = "poplin" }
provenance = "my strip"
date = 2026-11-25
expected_error = 2.5
grams_per_litre = 30
price_per_100_g = 8.5
[[dye]]
name = "sea"
spectrum = "sea.csv"
[[dye]]
name = "leaf"
reflectance = [[400, 0.052], [420, 0.055], [440, 0.06], [460, 0.06], [480, 0.06], [500, 0.1], [520, 0.2], [540, 0.2],
 [560, 0.2], [580, 0.2], [600, 0.2], [620, 0.2], [640, 0.2], [660, 0.3], [680, 0.3], [700, 0.4]]
"""
STRIP = b"""format = 1
title = "Blues"
[cloth]
colour = "#f1ede2"
[photo]
corners = [[412, 305], [3620, 380], [3580, 1490], [395, 1420]]
[strip]
rows = 2
columns = 3
gap = 0.2
width_mm = 300
height_mm = 100
ground = "undyed"
[[patch]]
undyed = true
[[patch]]
dye = "sea"
strength = 0.5
[[patch]]
name = "both"
dyes = { "sun" = 1, "sea" = 0.5 }
at = [10, 10, 20, 20]
[[card]]
name = "grey"
reflectance = 0.18
at = [-60, 10, 20, 20]
"""
PRICES = b"""format = 1
currency = "EUR"
[[price]]
name = "urea"
pack = "500 g"
price = 4.50
"""
SWATCHES = [
    b'name,dyes,L,a,b\n"leaf","sun yellow 1 + sea blue 0.5",52,-30,20\n,undyed,93,1,5\n',
    b"dyes;hex\nsun 1;#f0d92e\n",
    b"dyes\t" + b"\t".join(b"%d" % nm for nm in range(400, 701, 20)) + b"\nsun 1" + b"\t40.5" * 16 + b"\n",
]
SPECTRUM = b"nm, reflectance\n# measured\n" + b"".join(b"%d, 0.4\n" % nm for nm in range(400, 701, 10))
PERCENT = b"nm;R%\n" + b"".join(b"%d;40,5%%\n" % nm for nm in range(700, 399, -20))
CGATS = (
    b'CGATS.17\nORIGINATOR "x"\nNUMBER_OF_FIELDS 18\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME '
    + b" ".join(b"NM_%d" % nm for nm in range(400, 701, 20))
    + b"\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n"
    + b'1 "A1" ' + b" ".join([b"0.4"] * 16) + b"\n2 A2 " + b" ".join([b"0.3"] * 16) + b"\nEND_DATA\n"
)  # fmt: skip


def _files(name: str, reads: Callable[[Path], object]) -> Callable[[Path], Read]:
    """A reader of one file in a folder where the good files of all kinds lie beside it."""

    def open_(folder: Path) -> Read:
        (folder / "sea.csv").write_bytes(SPECTRUM)
        (folder / "many.txt").write_bytes(CGATS)
        (folder / "book.toml").write_bytes(BOOK)
        Image.new("L", (16, 12), 255).save(folder / "mask.png")
        file = folder / name

        def read(data: bytes) -> object:
            file.write_bytes(data)
            return reads(file)

        return read

    return open_


def _design(file: Path) -> object:
    """A design that can be read can be written and read again, the same."""
    from batiksim.files.toml.designs import read_design, write_design

    design = read_design(file)
    beside = file.with_name("again.toml")
    write_design(design, beside)
    assert read_design(beside) == design
    return design


def _book(file: Path) -> object:
    from batiksim.files.toml.dyebooks import read_book, save_dyes

    book = read_book(file, name="x")
    save_dyes(file, [entry for entry in book.entries[:1]], overwrite=True)
    assert read_book(file, name="x").entries == book.entries
    return book


def _strip(file: Path) -> object:
    from batiksim.files.toml.strips import read_strip

    return read_strip(file)


def _spectrum(file: Path) -> object:
    from batiksim.files.measurements.spectra import read_spectrum

    return read_spectrum(file)


def _cgats(file: Path) -> object:
    from batiksim.files.measurements.spectra import read_spectrum

    return read_spectrum(file, "A2")


def _swatches(file: Path) -> object:
    from batiksim.files.measurements.swatches import read_swatches

    return read_swatches(file)


def _prices(file: Path) -> object:
    from batiksim.files.toml.reading import read_prices

    return read_prices(file)


def _picture(file: Path) -> object:
    """As a mask, cleaned too where it is small, and as a photo."""
    from batiksim.cloth.masks import to_mask
    from batiksim.files.pictures.images import read_picture, read_rgb

    picture = read_picture(file, most_pixels=MOST_PIXELS)
    shape = picture.grey.shape
    assert picture.grey.dtype == np.uint8
    assert picture.alpha is None or picture.alpha.shape == shape
    assert to_mask(picture.grey, picture.alpha).mask.shape == shape
    rgb = read_rgb(file, most_pixels=MOST_PIXELS)
    assert rgb.shape == (*shape, 3)
    return picture


def _pictures() -> list[bytes]:
    """One small picture of every kind that the reader knows."""
    ramp = np.tile(np.arange(0, 256, 16, dtype=np.uint8), (12, 1))
    grey = Image.fromarray(ramp)
    colour = Image.fromarray(np.stack([ramp, ramp[:, ::-1], ramp // 2], axis=-1))
    clear = colour.convert("RGBA")
    clear.putalpha(grey)
    deep = Image.fromarray(ramp.astype(np.uint16) * 257)
    text = PngImagePlugin.PngInfo()
    text.add_itxt("a", "b", zip=True)
    text.add_text("c", "d" * 50, zip=True)
    turned = Image.Exif()
    turned[274] = 6
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    made = [
        (grey, "PNG", {}),
        (grey.convert("1"), "PNG", {}),
        (deep, "PNG", {}),
        (colour, "PNG", {"pnginfo": text, "dpi": (300, 300), "icc_profile": profile}),
        (clear, "PNG", {"exif": turned}),
        (clear.convert("LA"), "PNG", {}),
        (colour.quantize(9), "PNG", {"transparency": 1}),
        (colour, "JPEG", {"exif": turned, "quality": 50}),
        (grey, "JPEG", {"progressive": True}),
        (colour.convert("CMYK"), "JPEG", {}),
        (colour, "WEBP", {"lossless": True}),
        (clear, "WEBP", {"quality": 40, "exif": turned}),
        (grey, "TIFF", {}),
        (deep, "TIFF", {"compression": "tiff_adobe_deflate"}),
        (colour.convert("CMYK"), "TIFF", {"compression": "tiff_lzw"}),
        (grey.convert("1"), "TIFF", {"compression": "group4"}),
        (clear, "TIFF", {"compression": "packbits", "icc_profile": profile}),
        (grey, "GIF", {}),
    ]
    return [_saved(image, kind, options) for image, kind, options in made]


def _saved(image: Image.Image, kind: str, options: dict[str, object]) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def _worktable(folder: Path) -> Read:
    from tests.trust.asking import Asking

    return Asking(folder)


def _asked() -> list[bytes]:
    from tests.trust.asking import SEEDS

    return list(SEEDS)


FAMILIES = {
    "design": Family(open_=_files("x.toml", _design), seeds=lambda: [DESIGN]),
    "book": Family(open_=_files("x.toml", _book), seeds=lambda: [BOOK]),
    "strip": Family(open_=_files("x.toml", _strip), seeds=lambda: [STRIP]),
    "prices": Family(open_=_files("x.toml", _prices), seeds=lambda: [PRICES]),
    "spectrum": Family(open_=_files("x.csv", _spectrum), seeds=lambda: [SPECTRUM, PERCENT]),
    "cgats": Family(open_=_files("x.txt", _cgats), seeds=lambda: [CGATS]),
    "swatches": Family(open_=_files("x.csv", _swatches), seeds=lambda: list(SWATCHES)),
    "picture": Family(open_=_files("x.png", _picture), seeds=_pictures),
    "request": Family(open_=_worktable, seeds=_asked),
}
