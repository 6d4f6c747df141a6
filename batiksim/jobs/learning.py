"""Learning from dyed cloth: dyes calibrated, a finished cloth compared with its plan."""

import contextlib
import datetime
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from batiksim.calibration import camera_saturation
from batiksim.calibration.calibrate import calibrate as calibrate_samples
from batiksim.calibration.calibration_values import CalibratedDye as CalibratedDye
from batiksim.calibration.calibration_values import Calibration as Calibration
from batiksim.calibration.calibration_values import MeasuredPiece as MeasuredPiece
from batiksim.calibration.samples import samples_of_swatches
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes, cloth_dyes
from batiksim.cloth.program import Emit, compile_design
from batiksim.cloth.undyed import bare_cloth, measured_cloths
from batiksim.dyes.other_cloth import floor_trouble
from batiksim.errors import BatikError, argument, in_file
from batiksim.files import outputs, reports
from batiksim.files.measurements import swatches
from batiksim.files.pictures import images
from batiksim.files.toml import dyebooks, strips
from batiksim.jobs.projects import Progress, open_design, silent
from batiksim.photo import compare as comparing
from batiksim.photo import patches, strip_reading
from batiksim.photo.homography import shrunk, transform_points
from batiksim.photo.registration import register
from batiksim.photo.strip_plausibility import check_colour, hue_agreement
from batiksim.sheets.comparison import comparison_sheet, difference_map
from batiksim.texts.catalogue import Message, say
from batiksim.types import StrPath
from batiksim.values import CALIBRATED, Cloth, Design, DyeBook, Swatch
from batiksim.values.plain_data import LEFT_OUT, as_data, plain, plain_data

LEAST_HUES = 3  # dyes from which on no honest photo of a strip looks toned: two may be shades of one blue
PLAN_OF_ONE_HUE = 0.8  # agreement of a plan's hues from which on its cloth may look toned in an honest photo
UNUSABLE = say("jobs.note.calibration_unusable")


@dataclass(frozen=True, kw_only=True)
class Calibrated:
    """What a calibration found and did. changes : to the dye book; None when it was only tried, or found unusable."""

    calibration: Calibration = field(metadata=as_data(spread=True))
    changes: dyebooks.BookChanges | None = field(metadata=as_data("book"))
    notes: tuple[Message, ...]


def names_its_cloth(design: Design) -> bool:
    """Whether the undyed cloth's colour is the maker's own word, or was measured with her dyes."""
    return design.cloth.colour is not None or bool(measured_cloths(design.dyes))


def calibrate(
    book: StrPath,
    *,
    picture: StrPath | None = None,
    strip: StrPath | None = None,
    table: StrPath | None = None,
    corners: tuple[tuple[float, float], ...] | None = None,
    overwrite: bool = False,
    dry_run: bool = False,
) -> Calibrated:
    """Learn dyes from a photo of a dyed strip, or from a table of measured swatches, and keep them in a dye book.

    corners : of the strip in the photo, instead of those in the strip file
    overwrite : also put a dye in place of one whose expected error is smaller
    dry_run : leave the book as it is
    Nothing is written where most patches contradict each other.
    errors : BatikError for files that can't be read, and for photos that tell too little
    """
    if (table is None) == (picture is None):
        ways = {name: argument(name) for name in ("picture", "strip", "table")}
        raise BatikError("jobs.error.photo_or_table", **ways)
    if picture is not None and strip is None:
        raise BatikError("jobs.error.no_strip_file", field="strip")
    dyebooks.check_book_name(book)
    old = dyebooks.read_book(book) if Path(book).exists() else None

    def known(undyed: str) -> ClothDyes | None:
        """The book's dyes on a cloth of that colour."""
        return None if old is None else cloth_dyes(Cloth(width_mm=100, colour=undyed), old.dyes)

    notes: tuple[Message, ...] = ()
    with in_file(table or strip, but=() if corners is None else ("corners",)):
        if table is not None:
            source = Path(table).name
            swatched = swatches.read_swatches(table, known=() if old is None else [dye.name for dye in old.entries])
            calibration = calibrate_samples(samples_of_swatches(swatched), known=known)
        else:
            source = f"{Path(str(picture)).name}, {Path(str(strip)).name}"
            reading = _strip_reading(str(picture), str(strip), corners)
            calibration, undone = camera_saturation.calibrate_photo(reading, known=known)
            notes = (*reading.notes, *([undone] if undone else []))
    dyes = calibration.book_dyes(provenance=f"{CALIBRATED} {source}", date=datetime.date.today())
    changes = None if dry_run or calibration.is_unusable else dyebooks.save_dyes(book, dyes, overwrite=overwrite)
    book_notes = (UNUSABLE,) if calibration.is_unusable else () if changes is None else _book_notes(changes.book)
    return Calibrated(calibration=calibration, changes=changes, notes=(*notes, *calibration.notes, *book_notes))


def _book_notes(book: DyeBook) -> tuple[Message, ...]:
    """What to know of a book whose dyes were seen on several cloths."""
    cloth = Cloth(width_mm=100)
    trouble = floor_trouble(cloth, bare_cloth(cloth, book.dyes).surface, measured_cloths(book.dyes))
    return trouble or ()


def _strip_reading(
    picture: str, strip: str, corners: tuple[tuple[float, float], ...] | None
) -> strip_reading.StripReading:
    layout = strips.read_strip(strip, corners=corners)
    rgb = images.read_rgb(picture)
    with in_file(picture):
        check_colour(rgb, may_look_toned=len({dye for patch in layout.patches for dye, _ in patch.layers}) < LEAST_HUES)
    with in_file(strip, but=() if corners is None else ("corners",)):
        return strip_reading.measure_strip(rgb, layout)


def calibrated_data(result: Calibrated, *, assumed: tuple[Message, ...] = ()) -> dict[str, Any]:
    """A calibration as `calibrate --json` prints it. assumed : to be told before its notes."""
    medians = {what: result.calibration.median(what) for what in ("miss_before", "miss_after", "held_out")}
    return plain_data(replace(result, notes=(*assumed, *result.notes))) | {"median": plain(medians, places=2)}


@dataclass(frozen=True, kw_only=True)
class Compared:
    """What a comparison found and wrote. swatches : of its table for `calibrate`; none = no table."""

    comparison: comparing.Comparison = field(metadata=as_data(spread=True))
    folder: Path = field(metadata=LEFT_OUT)
    files: tuple[str, ...]
    swatches: tuple[Swatch, ...] = field(metadata=LEFT_OUT)

    DATA = ("summary",)

    @property
    def teaches(self) -> int:
        """How many swatches its table for `calibrate` holds."""
        return len(self.swatches)

    @property
    def summary(self) -> str:
        """The whole comparison in a line."""
        return str(self.comparison.summary)


def compared_data(result: Compared) -> dict[str, Any]:
    """A comparison as `compare --json` prints it and compare.json keeps it."""
    table = {"file": COMPARE_TABLE, "swatches": plain(result.swatches)}
    return plain_data(result) | {"teaches": table if result.swatches else None}


COMPARE_PX = 800  # width at which cloth and photo are laid over each other
PHOTO_PX = 3000  # longer side to which a photo is reduced before: more tells nothing more of a cloth 800 wide
COMPARE_FILES = ("compare-difference.png", "compare-dyed.png", "compare.json", "compare.png")
READ_SHARE = patches.MIDDLE
COMPARE_TABLE = "compare-swatches.csv"


def compare(
    path: StrPath,
    picture: StrPath,
    out: StrPath,
    *,
    corners: tuple[tuple[float, float], ...] | None = None,
    progress: Progress = silent,
) -> Compared:
    """Compare a photo of the finished cloth with its prediction, and write where and how they differ.

    corners : of the cloth in the photo, where its pattern alone doesn't find it
    errors : BatikError for the maker's input, and for a cloth that can't be found in the photo
    """
    project = open_design(path, width_px=COMPARE_PX, progress=progress)
    design = project.design
    emit = Emit(step=len(design.steps), finished=True)
    program = compile_design(design, project.dyes, plates=(emit,))
    planned = render.render(program, project.planes)[0]
    rgb, to_reduced = shrunk(images.read_rgb(picture), PHOTO_PX)
    if corners is not None:
        corners = tuple((x, y) for x, y in transform_points(np.array(corners), to_reduced).tolist())
    with in_file(picture, but=("corners",)):
        check_colour(rgb, may_look_toned=hue_agreement(planned) > PLAN_OF_ONE_HUE)
        progress(1, 3, say("jobs.progress.finding_cloth"))
        place = register(planned, rgb, corners=corners)
        progress(2, 3, say("jobs.progress.comparing"))
        comparison = comparing.compare(project.outcome, project.planes, planned, rgb, place)
    taught = comparison.teachable
    files = tuple(sorted([*COMPARE_FILES, *([COMPARE_TABLE] if taught else [])]))
    compared = Compared(comparison=comparison, folder=Path(out), files=files, swatches=taught)
    differences, width = difference_map(planned, comparison.misses), design.cloth.width_mm
    pictures = (planned, comparison.dyed, differences)
    with outputs.output_set(out, replaces=_table_before(Path(out))) as stage:
        sheet = comparison_sheet(
            design.title, compared.summary, pictures, comparison.regions, list(map(str, comparison.notes))
        )
        images.write_png(stage / "compare.png", sheet)
        images.write_png(stage / "compare-dyed.png", comparison.dyed, width_mm=width)
        images.write_png(stage / "compare-difference.png", differences, width_mm=width)
        (stage / "compare.json").write_text(reports.report_text(compared_data(compared)), encoding="utf-8")
        if taught:
            (stage / COMPARE_TABLE).write_text(swatches.swatch_rows(taught), encoding="utf-8")
    return compared


def _table_before(folder: Path) -> tuple[str, ...]:
    """The table of an earlier comparison in a folder, if there is one that looks like it."""
    with contextlib.suppress(OSError, UnicodeDecodeError), open(folder / COMPARE_TABLE, encoding="utf-8") as table:
        if table.readline() == swatches.swatch_rows(()):
            return (COMPARE_TABLE,)
    return ()
