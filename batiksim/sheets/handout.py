"""The handout for a class as a PDF: cover, steps, overdye chart, amounts, timetable, words; long or on one page."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from batiksim.plan.cautions import DEFER, Caution
from batiksim.plan.overdye import Overdye
from batiksim.sheets.charts import cross
from batiksim.sheets.drawing import AMBER, QUIET
from batiksim.sheets.handout_lesson import PAPERS, SECTIONS, Lesson, Wanted
from batiksim.sheets.handout_maps import label_spots
from batiksim.sheets.handout_pictures import NOWHERE, blank_png, chip_png, cloth_jpeg, map_png, mark_png, plate_jpegs
from batiksim.sheets.handout_setting import typeset
from batiksim.sheets.handout_tables import amounts_data, chart_data, glossary_data, timetable_data
from batiksim.sheets.handout_words import Fact, StepWords, colour_words, finish_words, listed, step_sayings
from batiksim.sheets.weave import Plaid, plaid_picture
from batiksim.values import DyeBath, RemoveWax, Wax

__all__ = ["FINISHED_PX", "MAP_PX", "PAPERS", "PLATE_PX", "SECTIONS", "Lesson", "Wanted", "handout_pdf"]

PLATE_PX, FINISHED_PX, MAP_PX = 1000, 1800, 800  # widths of what is printed 85, 174 and 50 mm wide
_LETTER_ROOM = 0.022  # of a plate's width, around a letter's middle
_PLATES_BYTES = 3_200_000  # all plates together, so that a handout can be mailed
_BLANK_EACH = 12  # most letters of one colour on a plate to colour in

Data = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class _Binder:
    """A lesson and how it is wanted, and the pictures that the pages name."""

    lesson: Lesson
    wanted: Wanted
    pictures: dict[str, bytes] = field(default_factory=dict)
    plates: dict[int, Data] = field(default_factory=dict)

    def keep(self, name: str, content: bytes) -> str:
        """Keep a picture for the pages; the same one only once."""
        same = next((known for known, there in self.pictures.items() if there == content), None)
        if same is None:
            self.pictures[name] = content
        return same or name

    @cached_property
    def jpegs(self) -> list[bytes]:
        """Every plate as it is printed."""
        return plate_jpegs(self.lesson.plates, most_bytes=_PLATES_BYTES)

    @property
    def last(self) -> int:
        """The finished cloth's place among the stages."""
        return len(self.lesson.stages) - 1


def handout_pdf(lesson: Lesson, wanted: Wanted) -> bytes:
    """The handout: a tagged PDF whose text can be selected; the same bytes for the same lesson."""
    binder = _Binder(lesson=lesson, wanted=wanted)
    data = _data(binder)
    template = "handout_page.typ" if wanted.one_page else "handout.typ"
    return typeset(template, data, binder.pictures)


def _data(binder: _Binder) -> Data:
    lesson, texts = binder.lesson, binder.wanted.texts
    design, asked = lesson.design, binder.wanted.sections
    tell = texts.under("handout")
    areas = lesson.workshop.areas
    size = texts(
        "handout.size",
        width=f"{areas.width_mm / 10:.3g}",
        height=f"{areas.height_mm / 10:.3g}",
        grams=f"{design.cloth.grams_per_m2:.0f}",
    )
    sayings = step_sayings(lesson, texts)
    finish = finish_words(lesson, texts)
    told: set[str] = set()
    blocks = [_step_data(binder, number, one, told) for number, one in enumerate(sayings, start=1)]
    blocks += [] if finish is None else [_finish_data(binder, finish, told)]
    parts: Data = {
        "cover": _cover_data(binder),
        "steps": blocks,
        "chart": None if binder.wanted.one_page else _chart(binder),
        "amounts": _amounts(binder, told),
        "timetable": timetable_data(lesson, texts),
        "glossary": glossary_data(lesson, texts),
    }
    return {
        "language": texts.language,
        "paper": {"a4": "a4", "letter": "us-letter"}[binder.wanted.paper],
        "title": design.title,
        "subject": texts("handout.subject", title=design.title),
        "size": f"{size}; {texts.count('handout.steps', len(design.steps))}" if design.steps else size,
        "by": texts("handout.by", maker=design.maker) if design.maker else "",
        "author": design.maker,
        "note": design.note,
        "learner": binder.wanted.learner,
        "defer": texts.phrase(DEFER),
        "words": {key: text for key, text in tell.items() if "." not in key},
        "labels": texts.under("handout.step"),
        **{name: parts[name] if name in asked else None for name in SECTIONS},
    }


def _cover_data(binder: _Binder) -> Data:
    lesson, texts = binder.lesson, binder.wanted.texts
    design, last = lesson.design, binder.last
    finished = _plate_data(binder, last)
    strip = []
    for place, stage in enumerate(lesson.stages[:-1]):
        strip.append({
            **_plate_data(binder, place),
            "number": stage.emit.step,
            "marks": _marks(binder, place),
        })  # fmt: skip
    colours = texts("handout.colours_blank" if binder.wanted.learner else "handout.colours_finished")
    return {
        "finished": finished,
        "heading": texts("handout.finished_blank" if binder.wanted.learner else "handout.finished"),
        "strip": strip if design.steps else [],
        "colours_title": colours,
        "colours": _colours(binder, last),
    }


def _plate_data(binder: _Binder, place: int) -> Data:
    if place not in binder.plates:
        binder.plates[place] = _plate_made(binder, place)
    return binder.plates[place]


def _plate_made(binder: _Binder, place: int) -> Data:
    """A plate, or its outlines to colour in, with the letters that stand on it."""
    lesson, texts = binder.lesson, binder.wanted.texts
    stage = lesson.stages[place]
    told = {"title": lesson.design.title, "step": stage.emit.step, "colours": colour_words(lesson, place, texts)}
    labels = lesson.maps[place].labels
    learner = binder.wanted.learner
    rows, cols = lesson.plates[place].shape[:2]
    finished = stage.emit.finished
    if learner:
        waxed = np.zeros(labels.shape, np.bool_) if finished else lesson.maps[place + 1].closed
        content, labels = blank_png(labels, waxed)
        picture = binder.keep(f"blank-{place}.png", content)
        alt = texts("handout.blank_finished_alt" if finished else "handout.blank_alt", **told)
    else:
        picture = binder.keep(f"plate-{place}.jpg", binder.jpegs[place])
        alt = texts("handout.finished_alt" if finished else "handout.plate_alt", **told)
    spots = label_spots(labels, each=_BLANK_EACH if learner else 1, least=_LETTER_ROOM, nowhere=NOWHERE)
    letters = [lesson.letters[stage.colours[spot.colour][:2]] for spot in spots]
    return {
        "picture": picture,
        "alt": alt,
        "aspect": cols / rows,
        "spots": [
            {"letter": letter, "x": spot.x, "y": spot.y, "room": spot.room}
            for spot, letter in zip(spots, letters, strict=True)
        ],
    }


def _marks(binder: _Binder, place: int) -> list[str]:
    """Pictures of the marks that hang before a plate: of its step, one for each pot."""
    stage = binder.lesson.stages[place]
    if stage.kind in ("bare", "cloth"):
        return []
    colours = [hexed for _, hexed in stage.pots[:3]] if stage.kind == "dye" else [QUIET]
    return [binder.keep(f"mark-{place}-{at}.png", mark_png(stage.kind, one)) for at, one in enumerate(colours)]


def _colours(binder: _Binder, place: int) -> list[Data]:
    lesson, texts = binder.lesson, binder.wanted.texts
    made = []
    for name, hexed, share in lesson.stages[place].colours:
        percent = round(100 * share)
        key = "handout.share" if percent else "handout.under_one"
        made.append({
            "letter": lesson.letters[name, hexed],
            "hex": hexed,
            "name": texts.phrase(name),
            "share": texts(key, percent=percent).replace(" ", "\u00a0"),
        })  # fmt: skip
    return made


def _facts(facts: Sequence[Fact]) -> list[Data]:
    return [{"label": one.label, "text": one.text, "pot": one.pot} for one in facts]


def _step_data(binder: _Binder, number: int, words: StepWords, told: set[str]) -> Data:
    lesson, texts = binder.lesson, binder.wanted.texts
    return {
        "number": texts("handout.step.name", number=number),
        "title": words.title,
        "marks": _marks(binder, number),
        "plate": _plate_data(binder, number),
        "map": _map_data(binder, number),
        "do": words.do,
        "facts": _facts(words.facts),
        "brief": words.brief,
        "colours": _colours(binder, number),
        "note": words.note,
        **_cautions(binder, words.cautions, told),
    }


def _finish_data(binder: _Binder, words: StepWords, told: set[str]) -> Data:
    steam = mark_png("remove_wax", QUIET)
    return {
        "number": "",
        "title": words.title,
        "marks": [binder.keep("mark-finish.png", steam)],
        "plate": _plate_data(binder, binder.last),
        "map": None,
        "do": words.do,
        "facts": _facts(words.facts),
        "brief": words.brief,
        "colours": _colours(binder, binder.last),
        "note": words.note,
        **_cautions(binder, words.cautions, told),
    }


def _map_data(binder: _Binder, number: int) -> Data | None:
    """The small map of where the step works, with its key; None where there is nothing to show."""
    lesson, texts = binder.lesson, binder.wanted.texts
    step, one = lesson.design.steps[number - 1], lesson.maps[number]
    if not any(where.any() for where in one.worked):
        return None
    if isinstance(step, DyeBath):
        hexes = dict(lesson.stages[number].pots)
        names = [paint.pot for paint in step.paints]
        colours = [hexes[name] for name in names]
        alt = texts("handout.map_dye_alt", step=number, pots=listed(list(dict.fromkeys(names)), texts))
    else:
        kind = "wax" if isinstance(step, Wax) else "remove" if isinstance(step, RemoveWax) else "bleach"
        names = [texts(f"handout.step.map_{kind}")]
        colours = [AMBER if kind == "wax" else QUIET]
        alt = texts(f"handout.map_{kind}_alt", step=number)
    keys = [
        {"picture": binder.keep(f"chip-{number}-{at}.png", chip_png(at, colour)), "text": name}
        for at, (name, colour) in enumerate(zip(names, colours, strict=True))
    ]
    if one.closed.any() and not isinstance(step, RemoveWax):
        key = texts("handout.step.map_closed")
        keys.append({"picture": binder.keep("chip-closed.png", chip_png(None, AMBER)), "text": key})
    rows, cols = one.closed.shape
    picture = binder.keep(f"map-{number}.png", map_png(one, colours))
    return {"picture": picture, "alt": alt, "aspect": cols / rows, "keys": keys}


def _cautions(binder: _Binder, cautions: Sequence[Caution], told: set[str]) -> Data:
    """Cautions in two even columns, in full when they come up first; later by their titles."""
    texts = binder.wanted.texts
    fresh = [one for one in cautions if one.key not in told]
    again = [texts.phrase(one.title).lower() for one in cautions if one.key in told]
    told.update(one.key for one in cautions)
    entries = [{"title": texts.phrase(one.title), "text": texts.phrase(one.text)} for one in fresh]
    long = [sum(map(len, entry.values())) + 40 for entry in entries]
    split = min(range(len(long) + 1), key=lambda at: max(sum(long[:at]), sum(long[at:])))
    return {
        "cautions": [column for column in (entries[:split], entries[split:]) if column],
        "again": texts("handout.take_care_again", cautions=listed(again, texts)) if again else "",
    }


def _amounts(binder: _Binder, told: set[str]) -> Data:
    from batiksim.plan.cautions import cautions_for

    kinds = ["powders"] if binder.lesson.workshop.mixes[0].stocks else []
    kinds += ["soak" if binder.lesson.workshop.presoak else "fixative"] if kinds else []
    cautions = tuple(dict.fromkeys(one for kind in kinds for one in cautions_for(kind)))
    return amounts_data(binder.lesson, binder.wanted.texts) | _cautions(binder, cautions, told)


def _chart(binder: _Binder) -> Data | None:
    data, chart = chart_data(binder.lesson, binder.wanted.texts), binder.lesson.chart
    if data is None or chart is None:
        return None
    plaid = _plaid(chart)
    picture = plaid_picture(plaid)
    crossed = io.BytesIO()
    cross(96).save(crossed, "PNG")
    return data | {
        "picture": binder.keep("chart.jpg", cloth_jpeg(picture)),
        "cross": binder.keep("cross.png", crossed.getvalue()),
        "wide": picture.width,
        "high": picture.height,
        "start": plaid.hem + plaid.fringe,
        "pitch": plaid.pitch,
        "band": plaid.band,
    }


def _plaid(chart: Overdye) -> Plaid:
    pitch = round(max(40, min(210, 1300 / len(chart.dyes))))
    return Plaid(
        bare=chart.bare.hex,
        down=tuple(shade.hex for shade in chart.firsts),
        across=tuple(shade.hex for shade in chart.seconds),
        cells=tuple(tuple(shade.hex for shade in row) for row in chart.cells),
        pitch=pitch,
        band=round(pitch * 0.84),
        hem=max(18, round(pitch * 0.36)),
        fringe=max(12, round(pitch * 0.16)),
    )
