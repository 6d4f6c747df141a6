"""Learning from dyed cloth: dyes calibrated, a finished cloth compared with its plan."""

import contextlib
import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
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
from batiksim.errors import BatikError, in_file
from batiksim.files import outputs, reports
from batiksim.files.measurements import swatches
from batiksim.files.pictures import images
from batiksim.files.toml import dyebooks, strips
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import Project, open_design
from batiksim.jobs.results import PictureResult, Result
from batiksim.photo import compare as comparing
from batiksim.photo import patches, strip_reading
from batiksim.photo.homography import shrunk, transform_points
from batiksim.photo.registration import register
from batiksim.photo.strip_plausibility import check_colour, hue_agreement
from batiksim.sheets.comparison import comparison_sheet, difference_map
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import CALIBRATED, DAYLIGHT, Cloth, Design, DyeBook, Swatch
from batiksim.values.plain_data import LEFT_OUT, as_data, plain, plain_data

LEAST_HUES = 3  # dyes from which on no honest photo of a strip looks toned: two may be shades of one blue
PLAN_OF_ONE_HUE = 0.8  # agreement of a plan's hues from which on its cloth may look toned in an honest photo
UNUSABLE = say("jobs.note.calibration_unusable")
Corners = Sequence[tuple[float, float]]


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Calibrated(Result):
    """What a calibration found and did.

    Attributes
    ----------
    calibration : Calibration
        The dyes learnt, each with its expected error, and the pieces they were learnt from.
    changes : BookChanges or None
        To the dye book; None when it was only tried, or found unusable.
    notes : tuple of Message
        What to know.
    book, title : Path, str or None
        The dye book's file, and what it is called, unless it isn't there yet.

    See Also
    --------
    calibrate : Makes one.
    """

    COLOURS_BY = DAYLIGHT

    book: Path = field(metadata=LEFT_OUT)
    title: str | None = field(metadata=LEFT_OUT)
    calibration: Calibration = field(metadata=as_data(spread=True))
    changes: dyebooks.BookChanges | None = field(metadata=as_data("book"))
    notes: tuple[Message, ...]

    def __repr__(self) -> str:
        dyes = ", ".join(dye.name for dye in self.calibration.dyes)
        return f"<Calibrated: {dyes}>"

    @property
    def origin(self) -> Origin:
        """The dye book."""
        return Origin(kind="source", title=self.title, file=self.book)

    def _data(self) -> dict[str, Any]:
        medians = {what: self.calibration.median(what) for what in ("miss_before", "miss_after", "held_out")}
        return plain_data(self) | {"median": plain(medians, places=2)}


def names_its_cloth(design: Design) -> bool:
    """Whether the undyed cloth's colour is the maker's own word, or was measured with her dyes."""
    return design.cloth.colour is not None or bool(measured_cloths(design.dyes))


def calibrate(
    book: StrPath,
    *,
    picture: StrPath | None = None,
    strip: StrPath | None = None,
    table: StrPath | None = None,
    corners: Corners | None = None,
    overwrite: bool = False,
    dry_run: bool = False,
    progress: Progress = silent,
) -> Calibrated:
    r"""Learn dyes from a photo of a dyed strip, or from a table of measured swatches, and keep them in a dye book.

    Nothing is written where most patches contradict each other.

    Parameters
    ----------
    book : str or path-like
        The dye book's .toml file, made if need be.
    picture : str or path-like, optional
        A photo of the strip.
    strip : str or path-like, optional
        The strip file that says what was dyed where.
    table : str or path-like, optional
        A table of measured swatches instead of photo and strip.
    corners : sequence of four (x, y), optional
        Of the strip in the photo in pixels, instead of those in the strip file.
    overwrite : bool, default: False
        Also put a dye in place of one whose expected error is smaller.
    dry_run : bool, default: False
        Leave the book as it is.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Calibrated
        The dyes learnt, and what was changed.

    Raises
    ------
    BatikError
        For files that can't be read, and for photos that tell too little.

    Examples
    --------
    >>> rows = ["dyes,L,a,b", "undyed,92.6,0.3,6.1", "madder 0.5,50.2,45.7,30.6", "madder 1,45.2,46.3,31.2"]
    >>> from pathlib import Path
    >>> _ = Path("madder.csv").write_text("\n".join(rows))
    >>> learnt = batiksim.calibrate("my-dyes.toml", table="madder.csv")
    >>> [dye.name for dye in batiksim.read_book("my-dyes.toml").entries]
    ['madder']
    """
    if (table is None) == (picture is None):
        raise BatikError("jobs.error.photo_or_table")
    if picture is not None and strip is None:
        raise BatikError("jobs.error.no_strip_file", field="strip")
    dyebooks.check_book_name(book)
    old = dyebooks.read_book(book) if Path(book).exists() else None

    def known(undyed: str) -> ClothDyes | None:
        """The book's dyes on a cloth of that colour."""
        return None if old is None else cloth_dyes(Cloth(width_mm=100, colour=undyed), old.dyes)

    notes: tuple[Message, ...] = ()
    progress(0, 2, say("jobs.progress.reading_the_picture" if table is None else "jobs.progress.reading_table"))
    with in_file(table or strip, but=() if corners is None else ("corners",)):
        if table is not None:
            source = Path(table).name
            swatched = swatches.read_swatches(table, known=() if old is None else [dye.name for dye in old.entries])
            calibration = calibrate_samples(samples_of_swatches(swatched), known=known)
        else:
            source = f"{Path(str(picture)).name}, {Path(str(strip)).name}"
            reading = _strip_reading(str(picture), str(strip), corners)
            progress(1, 2, say("jobs.progress.learning"))
            calibration, undone = camera_saturation.calibrate_photo(reading, known=known)
            notes = (*reading.notes, *([undone] if undone else []))
    dyes = calibration.book_dyes(provenance=f"{CALIBRATED} {source}", date=datetime.date.today())
    changes = None if dry_run or calibration.is_unusable else dyebooks.save_dyes(book, dyes, overwrite=overwrite)
    book_notes = (UNUSABLE,) if calibration.is_unusable else () if changes is None else _book_notes(changes.book)
    now = old if changes is None else changes.book
    return Calibrated(
        book=Path(book),
        title=None if now is None else now.title,
        calibration=calibration,
        changes=changes,
        notes=(*notes, *calibration.notes, *book_notes),
    )


def _book_notes(book: DyeBook) -> tuple[Message, ...]:
    """What to know of a book whose dyes were seen on several cloths."""
    cloth = Cloth(width_mm=100)
    trouble = floor_trouble(cloth, bare_cloth(cloth, book.dyes).surface, measured_cloths(book.dyes))
    return () if trouble is None else trouble.words


def _strip_reading(picture: str, strip: str, corners: Corners | None) -> strip_reading.StripReading:
    layout = strips.read_strip(strip, corners=None if corners is None else tuple(corners))
    rgb = images.read_rgb(picture)
    with in_file(picture):
        check_colour(rgb, may_look_toned=len({dye for patch in layout.patches for dye, _ in patch.layers}) < LEAST_HUES)
    with in_file(strip, but=() if corners is None else ("corners",)):
        return strip_reading.measure_strip(rgb, layout)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Compared(PictureResult):
    """What a comparison of a dyed cloth with its plan found.

    Attributes
    ----------
    comparison : Comparison
        The photo laid over the plan, and how far they differ where (CIEDE2000).
    swatches : tuple of Swatch
        What `calibrate` can learn from it.

    See Also
    --------
    compare : Makes one.
    """

    project: Project = field(metadata=LEFT_OUT)
    comparison: comparing.Comparison = field(metadata=as_data(spread=True))
    planned: Bytes = field(metadata=LEFT_OUT)

    COLOURS_BY = DAYLIGHT
    DATA = ("files", "summary")

    def __repr__(self) -> str:
        return f"<Comparison of {self.project.design.title!r}: {self.summary}>"

    @property
    def swatches(self) -> tuple[Swatch, ...]:
        """What `calibrate` can learn from it."""
        return self.comparison.teachable

    @property
    def files(self) -> tuple[str, ...]:
        """The names of what `save` writes."""
        return tuple(sorted([*COMPARE_FILES, *([COMPARE_TABLE] if self.swatches else [])]))

    @property
    def summary(self) -> str:
        """The whole comparison in a line."""
        return str(self.comparison.summary)

    @cached_property
    def difference(self) -> Bytes:
        """Where they differ, and how far, as a picture, sRGB uint8 (rows, cols, 3)."""
        return difference_map(self.planned, self.comparison.misses)

    def picture(self) -> Bytes:
        """Plan, dyed cloth and their difference on one sheet.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        pictures = (self.planned, self.comparison.dyed, self.difference)
        notes = list(map(str, self.comparison.notes))
        return comparison_sheet(self.project.design.title, self.summary, pictures, self.comparison.regions, notes)

    def save(self, out: StrPath) -> tuple[str, ...]:
        """Write compare.png and its pictures, compare.json, and the table for `calibrate` into a folder.

        Parameters
        ----------
        out : str or path-like
            The folder to write into.

        Returns
        -------
        tuple of str
            The names of the files.

        Raises
        ------
        BatikError
            When the folder can't be written to.
        """
        width = self.project.design.cloth.width_mm
        with outputs.output_set(out, replaces=_table_before(Path(out))) as stage:
            images.write_png(stage / "compare.png", self.picture())
            images.write_png(stage / "compare-dyed.png", self.comparison.dyed, width_mm=width)
            images.write_png(stage / "compare-difference.png", self.difference, width_mm=width)
            (stage / "compare.json").write_text(reports.report_text(self.data()), encoding="utf-8")
            if self.swatches:
                (stage / COMPARE_TABLE).write_text(swatches.swatch_rows(self.swatches), encoding="utf-8")
        return self.files

    @property
    def origin(self) -> Origin:
        """The design that it is of."""
        return self.project.origin

    def _data(self) -> dict[str, Any]:
        table = {"file": COMPARE_TABLE, "swatches": plain(self.swatches)}
        return plain_data(self) | {"teaches": table if self.swatches else None}

    def words(self) -> str:
        """The whole comparison in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return self.summary


COMPARE_PX = 800  # width at which cloth and photo are laid over each other
PHOTO_PX = 3000  # longer side to which a photo is reduced before: more tells nothing more of a cloth 800 wide
COMPARE_FILES = ("compare-difference.png", "compare-dyed.png", "compare.json", "compare.png")
READ_SHARE = patches.MIDDLE
COMPARE_TABLE = "compare-swatches.csv"


def compare(
    design: StrPath | Design,
    picture: StrPath,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    corners: Corners | None = None,
    progress: Progress = silent,
) -> Compared:
    """Compare a photo of the finished cloth with its prediction: where and how they differ.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    picture : str or path-like
        The photo.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    corners : sequence of four (x, y), optional
        Of the cloth in the photo in pixels, where its pattern alone doesn't find it.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Compared
        The differences, and what can be learnt from them.

    Raises
    ------
    BatikError
        For the maker's input, and for a cloth that can't be found in the photo.

    Examples
    --------
    A plan laid over its own prediction has no differences.

    >>> sun = np.zeros((240, 320))
    >>> sun[60:140, 80:200] = sun[170:200, 40:90] = 1.0
    >>> steps = [batiksim.Wax(mask="sun"), batiksim.DyeBath(paints="sky")]
    >>> dyes = [batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> design = batiksim.Design(title="Sun", cloth=batiksim.Cloth(width_mm=300), dyes=dyes, steps=steps)
    >>> _ = batiksim.preview(design, masks={"sun": sun}).save("sun")
    >>> batiksim.compare(design, "sun/cloth.png", masks={"sun": sun}).summary
    'Everything came out as planned.'
    """
    project = open_design(design, folder=folder, masks=masks, width_px=COMPARE_PX, progress=progress)
    emit = Emit(step=len(project.design.steps), finished=True)
    program = compile_design(project.design, project.dyes, plates=(emit,))
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
    return Compared(project=project, comparison=comparison, planned=planned)


def _table_before(folder: Path) -> tuple[str, ...]:
    """The table of an earlier comparison in a folder, if there is one that looks like it."""
    with contextlib.suppress(OSError, UnicodeDecodeError), open(folder / COMPARE_TABLE, encoding="utf-8") as table:
        if table.readline() == swatches.swatch_rows(()):
            return (COMPARE_TABLE,)
    return ()
