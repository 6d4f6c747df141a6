"""A handout's pictures as they are gathered: plates with their letters, marks, swatches, maps, each file once."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from batiksim.sheets.colours import AMBER, QUIET
from batiksim.sheets.handout.lesson import HandoutOptions, Lesson
from batiksim.sheets.handout.maps import label_spots
from batiksim.sheets.handout.pictures import NOWHERE, blank_png, chip_png, map_png, mark_png, plate_jpegs
from batiksim.texts.catalogue import texts
from batiksim.texts.phrases import listed, percent
from batiksim.values import DyeBath, RemoveWax, Wax

_LETTER_ROOM = 0.022  # of a plate's width, around a letter's middle
_PLATES_BYTES = 3_200_000  # all plates together, so that a handout can be mailed
_MOST_NAMES = 9  # of colours in what is said of a plate
_BLANK_EACH = 12  # most letters of one colour on a plate to colour in

_ALTS = {"bare": "handout.bare_alt", "cloth": "handout.finished_alt"}

Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class HandoutPictures:
    """A lesson, what a maker chooses of it, and the pictures that the pages name: files : by their names."""

    lesson: Lesson
    options: HandoutOptions
    files: dict[str, bytes] = field(default_factory=dict)

    def keep(self, name: str, content: bytes) -> str:
        """Keep a picture for the pages; the same one only once."""
        same = next((known for known, there in self.files.items() if there == content), None)
        if same is None:
            self.files[name] = content
        return same or name

    @cached_property
    def jpegs(self) -> list[bytes]:
        """Every plate as it is printed."""
        return plate_jpegs(self.lesson.plates, most_bytes=_PLATES_BYTES)

    @cached_property
    def plates(self) -> list[Data]:
        """Every plate as the pages have it."""
        return [_plate_data(self, place) for place in range(len(self.lesson.stages))]

    @property
    def last(self) -> int:
        """The finished cloth's place among the stages."""
        return len(self.lesson.stages) - 1


def _plate_data(pictures: HandoutPictures, place: int) -> Data:
    """A plate, or its outlines to colour in, with the letters that stand on it."""
    lesson = pictures.lesson
    stage = lesson.stages[place]
    names = listed(tuple(dict.fromkeys(name for name, _, _ in stage.colours[:_MOST_NAMES])))
    told = {"title": lesson.design.title, "step": stage.emit.step, "colours": names}
    labels = lesson.maps[place].labels
    learner = pictures.options.learner
    rows, cols = lesson.plates[place].shape[:2]
    finished = stage.emit.finished
    if learner:
        waxed = np.zeros(labels.shape, np.bool_) if finished else lesson.maps[place + 1].closed
        content, labels = blank_png(labels, waxed)
        picture = pictures.keep(f"blank-{place}.png", content)
        alt = texts()("handout.blank_finished_alt" if finished else "handout.blank_alt", **told)
    else:
        picture = pictures.keep(f"plate-{place}.jpg", pictures.jpegs[place])
        alt = texts()(_ALTS.get(stage.kind, "handout.plate_alt"), **told)
    spots = label_spots(labels, each=_BLANK_EACH if learner else 1, least=_LETTER_ROOM, nowhere=NOWHERE)
    letters = lesson.letters
    return {
        "picture": picture,
        "alt": alt,
        "aspect": cols / rows,
        "spots": [
            {"letter": letters[stage.colours[spot.colour][:2]], "x": spot.x, "y": spot.y, "room": spot.room}
            for spot in spots
        ],
    }


def marks(pictures: HandoutPictures, place: int) -> list[str]:
    """Pictures of the marks that hang before a plate: of its step, one for each pot; before the last, of its finish."""
    stage = pictures.lesson.stages[place]
    if place == pictures.last and any(isinstance(step, Wax) for step in pictures.lesson.design.steps):
        return [pictures.keep("mark-finish.png", mark_png("remove_wax", QUIET))]
    if stage.kind in ("bare", "cloth"):
        return []
    shown = [hexed for _, hexed in stage.pots[:3]] if stage.kind == "dye" else [QUIET]
    return [pictures.keep(f"mark-{place}-{at}.png", mark_png(stage.kind, one)) for at, one in enumerate(shown)]


def colours(pictures: HandoutPictures, place: int) -> list[Data]:
    """The colours of a plate with their letters, names and shares."""
    lesson = pictures.lesson
    return [
        {
            "letter": lesson.letters[name, hexed],
            "hex": hexed,
            "name": str(name),
            "share": str(percent(share, whole=True)).replace(" ", "\u00a0"),
        }
        for name, hexed, share in lesson.stages[place].colours
    ]


def map_data(pictures: HandoutPictures, number: int) -> Data | None:
    """The small map of where the step works, with its key; None where there is nothing to show."""
    lesson = pictures.lesson
    step, one = lesson.design.steps[number - 1], lesson.maps[number]
    if not any(where.any() for where in one.worked):
        return None
    if isinstance(step, DyeBath):
        hexes = dict(lesson.stages[number].pots)
        names = [paint.pot for paint in step.paints]
        inks = [hexes[name] for name in names]
        alt = texts()("handout.map_dye_alt", step=number, pots=tuple(dict.fromkeys(names)))
    else:
        kind = "wax" if isinstance(step, Wax) else "remove" if isinstance(step, RemoveWax) else "bleach"
        names = [texts()(f"handout.step.map_{kind}")]
        inks = [AMBER if kind == "wax" else QUIET]
        alt = texts()(f"handout.map_{kind}_alt", step=number)
    keys = [
        {"picture": pictures.keep(f"chip-{number}-{at}.png", chip_png(at, colour)), "text": name}
        for at, (name, colour) in enumerate(zip(names, inks, strict=True))
    ]
    if one.closed.any() and not isinstance(step, RemoveWax):
        key = texts()("handout.step.map_closed")
        keys.append({"picture": pictures.keep("chip-closed.png", chip_png(None, AMBER)), "text": key})
    rows, cols = one.closed.shape
    picture = pictures.keep(f"map-{number}.png", map_png(one, inks))
    return {"picture": picture, "alt": alt, "aspect": cols / rows, "keys": keys}
