"""Photos of an invented strip, and what is learnt from them, for the tests of calibration."""

from __future__ import annotations

import importlib.util
import io
import itertools
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

from batiksim.calibration.calibrate import calibrate
from batiksim.calibration.samples import samples_of_strip
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.files.toml.strips import read_strip
from batiksim.photo.strip_reading import measure_strip
from batiksim.values import DyeBook

FOLDER = Path(__file__).parents[2] / "sample_designs" / "strip"


def _maker():
    spec = importlib.util.spec_from_file_location("made_strip_photo", FOLDER / "make_photo.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


made = _maker()
SHOT = made.Shot(width_px=840, height_px=600)
HARD = replace(SHOT, uneven=0.55, cast=(1.2, 1.0, 0.7), exposure=0.68, noise=0.02, quality=75, blotch=0.04)
UNSEEN = [
    ((one, s), (other, t))
    for one, other in itertools.combinations(made.DYES, 2)
    for s, t in itertools.product((1.0, 0.5, 0.3), repeat=2)
    if not {((one, s), (other, t)), ((other, t), (one, s))} & set(made.CELLS)
]


def photo_of(shot, *, spoil=None, **truth):
    """As the camera saves it: through JPEG and back."""
    rgb = made.take_photo(shot=shot, **truth)
    if spoil is not None:
        rgb = spoil(rgb.copy())
    return np.asarray(Image.open(io.BytesIO(made.as_jpeg(rgb, shot.quality))))


def strip_file(folder, shot, *, card=True, off_px=0.0):
    """The strip file of a shot, its corners a few pixels off."""
    off = np.random.default_rng(1).uniform(-off_px, off_px, (4, 2))
    file = folder / "strip.toml"
    file.write_text(made.strip_toml(made.corners_px(shot) + off, card=card), encoding="utf-8")
    return file


def learnt(folder, shot, *, card=True, off_px=0.0, **keys):
    reading = measure_strip(photo_of(shot, **keys), read_strip(strip_file(folder, shot, card=card, off_px=off_px)))
    return reading, calibrate(samples_of_strip(reading), cloth=reading.cloth)


def written_design(folder, found):
    """A design as its maker would write it beside the book that a calibration wrote: nothing said of the cloth."""
    entries = found.book_dyes(provenance="made", date=date(2026, 3, 1))
    write_book(DyeBook(name="b", title="b", entries=entries), folder / "b.toml")
    named = [f'[[dye]]\nname = "{entry.name}"\nbook = "b.toml"\n' for entry in entries]
    text = 'format = 1\ntitle = "Mine"\n[cloth]\nwidth_mm = 100\n' + "".join(named)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return read_design(folder)


def unseen_errors(found, cases, truth=made.true_xyz):
    """CIEDE2000 of overlays that were on no strip, foretold in a design that uses the book as it was written."""
    with TemporaryDirectory() as folder:
        dyes = dyes_on_cloth(written_design(Path(folder), found))
    errors = []
    for layers in cases:
        ks = dyes.cloth_ks + sum(dyes.dyes[name].build_up.load(s) * dyes.dyes[name].ks for name, s in layers)
        shown = spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(ks, surface=dyes.surface))
        errors.append(float(delta_e_2000(spaces.xyz_to_lab(shown), spaces.xyz_to_lab(truth(layers)))))
    return np.array(errors)
