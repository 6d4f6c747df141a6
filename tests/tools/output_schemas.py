"""Write the JSON Schemas of what commands print with --json: python tests/tools/output_schemas.py.

They stand in `batiksim/data/schemas/output`, one a command. Fields and types come from the results' dataclasses; what
each is, and in which unit, is said here, and a field that nothing is said of is an error.
"""

from __future__ import annotations

import json
import types
import typing
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import numpy as np

from batiksim.calibration.calibration_values import CalibratedDye, Calibration, MeasuredPiece
from batiksim.cloth.areas import StepArea
from batiksim.cloth.journeys import Journey
from batiksim.colour.names import ColourName
from batiksim.dyes.ladders import Ladder, Spectrum
from batiksim.dyes.match_report import Recipe
from batiksim.dyes.overdye import Overdye, Shade
from batiksim.dyes.pot_colour import Lit, PotColour, PotLook, Shift
from batiksim.files.toml.dyebooks import BookChanges
from batiksim.ordering.report import Met
from batiksim.photo.compare import Comparison, Difference
from batiksim.picture_plan.report import PictureReport, RegionReport
from batiksim.texts.catalogue import Message
from batiksim.values import FORMAT, LIGHTS, BuildUp, Finding, Place, Pot, Region, Remedy, Swatch
from batiksim.values.plain_data import _shown
from batiksim.values.step_words import Kind
from batiksim.workplan.cautions import CAUTIONS, Caution
from batiksim.workplan.figures import Figure
from batiksim.workplan.shopping import Item, Shopping
from batiksim.workplan.tasks import Task
from batiksim.workplan.timetable_values import Lot, Sitting, Slot, Timetable
from batiksim.workplan.values import (
    Bleach,
    ChemicalWater,
    Mixes,
    PotMix,
    Presoak,
    Stock,
    WaxUse,
    Workshop,
    WorkshopRequest,
)

FOLDER = Path(__file__).resolve().parents[2] / "batiksim" / "data" / "schemas" / "output"
Schema = dict[str, Any]
DEFS: dict[str, Schema] = {}
NUMBER, TEXT, FLAG, WHOLE = ({"type": kind} for kind in ("number", "string", "boolean", "integer"))


# How schemas are put together


def ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def each(schema: Schema, says: str = "") -> Schema:
    """A list of such."""
    return said({"type": "array", "items": schema}, says)


def said(schema: Schema, says: str) -> Schema:
    return {"description": says, **schema} if says else schema


def maybe(schema: Schema) -> Schema:
    """The same, or null."""
    if "type" in schema and "enum" not in schema:
        return schema | {"type": [schema["type"], "null"]}
    return {"anyOf": [schema, {"type": "null"}]}


def row(schema: Schema, count: int) -> Schema:
    """So many of them in a row."""
    return {"type": "array", "prefixItems": [schema] * count, "items": False, "minItems": count}


def named(schema: Schema, says: str = "") -> Schema:
    """Such values by names of the maker's own."""
    return said({"type": "object", "additionalProperties": schema}, says)


def table(properties: Mapping[str, Schema], says: str = "", *, maybe_out: tuple[str, ...] = ()) -> Schema:
    """An object of just these properties. maybe_out : those that may be left out, as every `..._says` may."""
    for name, one in properties.items():
        assert "description" in one or "$ref" in one or name.endswith("_says"), name
    needed = [name for name in properties if name not in maybe_out and not name.endswith("_says")]
    whole = {"type": "object", "properties": dict(properties), "required": needed, "additionalProperties": False}
    return said(whole, says)


def sentences(name: str, schema: Schema, *, several: bool = False) -> dict[str, Schema]:
    """A text with what it says beside it."""
    return {name: schema, f"{name}_says": each(ref("message")) if several else ref("message")}


def of_type(hint: Any) -> Schema:
    """The schema of a field's type."""
    origin, inner = get_origin(hint), [one for one in get_args(hint) if one is not Ellipsis]
    if origin in (types.UnionType, typing.Union):
        kinds = [one for one in inner if one is not type(None)]
        kind = of_type(kinds[0]) if {*kinds} != {str, Message} else TEXT
        return maybe(kind) if type(None) in inner else kind
    if origin is Literal:
        return {"enum": list(inner)}
    if origin is tuple and (len(inner) == 1 or Ellipsis in get_args(hint)):
        return each(of_type(inner[0]))
    if origin is tuple:
        kinds = [of_type(one) for one in inner]
        return {"type": "array", "prefixItems": kinds, "items": False, "minItems": len(kinds)}
    if origin is not None and issubclass(origin, Mapping):
        return named(of_type(inner[1]))
    if origin is np.ndarray:
        return each(NUMBER)
    plain = {bool: FLAG, int: WHOLE, float: NUMBER, str: TEXT, Message: TEXT, Path: TEXT}
    return plain[hint] if hint in plain else ref(define(hint))


def fields(kind: Any, /, without: tuple[str, ...] = (), **told: str | Schema) -> dict[str, Schema]:
    """The properties that a dataclass has as data.

    without : fields told elsewhere; told : of each, what it is, or a whole schema where its type doesn't say all
    """
    hints, found = typing.get_type_hints(kind), {}
    for name, how in _shown(kind):
        if name in without:
            continue
        hint = hints.get(name) or typing.get_type_hints(getattr(kind, name).fget)["return"]
        if how.spread:
            found |= PROPERTIES[hint]
            continue
        key = how.name or name
        says = told.pop(key)
        schema = says if isinstance(says, dict) else said(of_type(hint), says)
        several = get_origin(hint) is tuple and Message in get_args(hint)
        sentence = (several or (hint == Message | str or Message in (hint, *get_args(hint)))) and how.make is None
        found |= sentences(key, schema, several=several) if sentence else {key: schema}
    assert not told, (kind, told)
    return found


PROPERTIES: dict[Any, dict[str, Schema]] = {}
CLASSES: dict[Any, str] = {}


def define(kind: Any) -> str:
    """The name of a class among `$defs`."""
    if kind not in CLASSES:
        raise KeyError(f"nothing is said of {kind}")
    return CLASSES[kind]


def value(kind: Any, name: str, says: str, /, *, plus: Mapping[str, Schema] | None = None, **told: Any) -> None:
    """Say what a dataclass is. name : among `$defs`; plus : what its data has besides its fields."""
    PROPERTIES[kind] = fields(kind, **told) | dict(plus or {})
    CLASSES[kind] = name
    DEFS[name] = table(PROPERTIES[kind], says)


# What all share

HEX = said({"type": "string", "pattern": "^#[0-9a-f]{6}$"}, "sRGB as #rrggbb.")
LAB = said(row(NUMBER, 3), "CIELAB: L*, a*, b*, D65.")
NAME = said(TEXT, "ISCC-NBS name in English: a code, whatever language is spoken.")
PLAIN = said(TEXT, "Plain English name: a code, whatever language is spoken.")
COLOUR = {"hex": HEX, "lab": LAB, "name": NAME, "plain": PLAIN}
SHARE = said({"type": "number", "minimum": 0, "maximum": 1}, "Of the cloth, 0 to 1.")
HISTORY = said(each(TEXT), "Pots and other steps that reached it, in order.")
STEP = said({"type": "integer", "minimum": 1}, "Step of the design, from 1.")
LIGHT = said({"enum": list(LIGHTS)}, "By which colours are seen.")
NOTES = sentences("notes", said(each(TEXT), "What else to know, as sentences."), several=True)
ASSUMED = sentences(
    "assumed", said(each(TEXT), "What was worked out because the design didn't say, as sentences."), several=True
)
FILE = {"file": said(TEXT, "The file that was written.")}
FILES = {"folder": said(TEXT, "The folder written into."), "files": said(each(TEXT), "Names of the files in it.")}
DELTA_E = said({"type": "number", "minimum": 0}, "CIEDE2000; 1 is just visible.")

DEFS["message"] = table(
    {
        "key": said({"type": "string", "pattern": r"^[a-z_]+(\.[\w-]+)+$"}, "Of the sentence in the catalogue."),
        "values": named(
            {"type": ["string", "number", "boolean", "array", "null"]}, "What is put into the sentence, by name."
        ),
    },
    "What a sentence says, for programs: the sentence itself stands beside, in the language that is spoken.",
)
DEFS["origin"] = table(
    {
        "title": said({"type": ["string", "null"]}, "What it is called; null: a dye book that isn't there yet."),
        "file": said({"type": ["string", "null"]}, "Its file; null: in memory, or the built-in dye book."),
    },
    "A design or a dye book.",
)
value(
    Place,
    "place",
    "A spot on the cloth.",
    x_mm="From the left edge, mm.",
    y_mm="From the top edge, mm.",
    radius_mm="How far it reaches, mm.",
)
value(
    Remedy,
    "remedy",
    "Changes of the design that help.",
    words="What they do.",
    changes=each(
        said(
            {
                "type": "object",
                "properties": {"do": said(TEXT, "What is done.")},
                "required": ["do"],
                "additionalProperties": True,
            },
            "One change: `do` names it, the rest is what it needs.",
        ),
        "The changes, made one after another.",
    ),
)
value(
    Finding,
    "finding",
    "One thing that a check noticed.",
    code="The check: leak, mud ...",
    severity="How much it matters; serious: it will spoil the cloth.",
    step=said({"type": "integer", "minimum": 0}, "Where it comes about, from 1; 0: the design as a whole."),
    message="What is wrong.",
    remedy="What to do about it.",
    place="Where on the cloth, if it is in one place.",
    pots="Pots and dyes concerned.",
    masks="Pictures concerned.",
    numbers="What was measured; the unit is in the name: _mm, _deg, _share (0 to 1), _de (CIEDE2000), _strengths.",
    remedies="Changes that help, the least first; none in previews, which don't look for any.",
)
value(
    Region,
    "region",
    "All spots of the finished cloth that took the same dyes in the same order, by daylight.",
    share=SHARE,
    history=HISTORY,
    loads="What it holds of each dye, in full strengths.",
    **COLOUR,
    shown="Its name in the language that is spoken.",
    shown_history="The history in the language that is spoken.",
)
value(PotColour, "colour", "A colour with its names.", **COLOUR, shown="Its name in the language that is spoken.")
APPROXIMATE = {"approximate": said({"const": True}, "It is only about right.")}
DEFS["rough_colour"] = table(PROPERTIES[PotColour] | APPROXIMATE, "A colour that is only about right.")
value(
    Lit,
    "lit",
    "The dry cloth by one light, to an eye used to it.",
    light=LIGHT,
    delta_e=said(NUMBER, "CIEDE2000 from how it looks by daylight."),
    words="How it differs from daylight.",
)
value(
    Pot,
    "pot",
    "What a pot is mixed of.",
    name="What it is called.",
    parts="Parts by volume of each dye's full-strength solution.",
    strength="1 is the mix as it is, 0.5 has as much chemical water again.",
    ml="What it holds before the drops, ml; null: nobody said.",
    drops="Drops of each dye's full-strength solution, added last.",
)
POT_WORDS = {"recipe": said(TEXT, "What goes in, in words."), "dilution": said(TEXT, "How to thin it, in words.")}
AMOUNTS = each(
    table({"what": said(TEXT, "A dye, or chemical water."), "ml": said(NUMBER, "How much, ml.")}),
    "What makes it up: full-strength solutions, then chemical water.",
)


def whole(
    name: str, says: str, properties: Mapping[str, Schema], *, light: bool = False, book: bool | None = False
) -> Schema:
    """What a command prints of one design or book. book : of a dye book; None: of either."""
    version = said(TEXT, "Version of batiksim.")
    of = {"design": said(ref("origin"), "The design it is of.")} if book is not True else {}
    of |= {"source": said(ref("origin"), "The dye book it is of.")} if book is not False else {}
    head = {"format": said({"const": FORMAT}, "Format of this data."), "version": version, **of}
    head |= {"light": LIGHT} if light else {}
    schema = table(head | dict(properties), says, maybe_out=tuple(of) if book is None else ())
    return schema | ({"oneOf": [{"required": [one]} for one in of]} if book is None else {})


# Each command

KINDS = [one for kinds in get_args(Kind) for one in get_args(kinds) if one != "cloth"]
PLATE = table(
    {
        "file": said(TEXT, "Its picture; left out where nothing was drawn."),
        "step": said({"type": "integer", "minimum": 0}, "After which step; 0: the bare cloth."),
        "kind": said(
            {"enum": [one for kinds in get_args(Kind) for one in get_args(kinds) if one != "cloth"]},
            "What the step does.",
        ),
        "title": said(TEXT, "The step in words."),
    },
    maybe_out=("file",),
)
PREVIEW = whole(
    "preview",
    "A cloth after every step, and finished.",
    {
        "plates": each(PLATE, "The cloth after each step; its look is by `light`."),
        "regions": each(ref("region"), "Of the finished cloth, the largest first; dry, by daylight. Shares sum to 1."),
        "findings": each(ref("finding"), "What the quick checks noticed."),
        **ASSUMED,
    },
    light=True,
)
CHECK = whole("check", "What would spoil a cloth.", {"findings": each(ref("finding"), "The worst first.")})
NEW = whole("new", "The starter design as it was written.", FILES)
STAGES = whole("stages", "The picture of all stages as it was drawn.", {**FILE, **ASSUMED})
HANDOUT = whole("handout", "The handout as it was written.", {**FILE, **ASSUMED})
RISK = whole("risk", "The risk sheet as it was written.", {**FILE, **ASSUMED})
TRACE = whole(
    "trace",
    "The tracing sheets as they were written.",
    {
        **FILES,
        "sheets": said(WHOLE, "How many to trace; 0: the cloth is too large for them."),
        "pages": said(WHOLE, "With a map for each waxing."),
        **NOTES,
    },
)
STRIP = whole(
    "strip",
    "The strip to dye as it was written.",
    {
        "folder": FILES["folder"],
        "sheet": said(TEXT, "Name of the sheet that shows what to dye where."),
        "strips": each(
            table({"file": said(TEXT, "Its name."), "dyes": said(each(TEXT), "The dyes on that strip.")}),
            "Strip files for calibrate.",
        ),
        "cloth": HEX | {"description": "The undyed cloth, sRGB as #rrggbb."},
        "cloth_assumed": said(FLAG, "Nobody has said which colour the cloth is."),
    },
    book=None,
)

value(Shade, "shade", "One colour of the chart.", **COLOUR, mud="Whether it is mud, judged dry by daylight.")
OVERDYE = whole(
    "overdye",
    "Every dye over every dye.",
    fields(
        Overdye,
        without=("title", "light"),
        of="Whether dyes are charted, or pots.",
        under="Full strengths of the dye beneath.",
        strength="Full strengths of the dye on top.",
        look="Dry or wet.",
        cloth=said(ref("shade"), "The undyed cloth."),
        notes=NOTES["notes"],
    )
    | {
        "alone": each(
            table(
                {
                    "name": said(TEXT, "The dye."),
                    "first": said(ref("shade"), "Alone at the strength of the dye beneath."),
                    "over": said(ref("shade"), "Alone at the strength of the dye on top."),
                }
            ),
            "Each dye alone.",
        ),
        "overdyes": each(
            table({"first": said(TEXT, "The dye beneath."), "over": said(TEXT, "On top.")} | PROPERTIES[Shade]),
            "Each dye over each.",
        ),
    },
    light=True,
    book=None,
)

value(
    Shift,
    "shift",
    "What one more of a dye does.",
    dye="The dye.",
    more=said({"enum": ["part", "drop"]}, "One more of what."),
    delta_e=DELTA_E,
    words="How the colour changes.",
)
POT = whole(
    "pot",
    "What a pot dyes.",
    fields(
        PotLook,
        without=("light",),
        pot=said(ref("pot"), "The pot."),
        cloth=said(ref("colour"), "The undyed cloth."),
        dry=said(ref("colour"), "Dyed and dry."),
        wet=said(ref("rough_colour"), "Dyed and wet."),
        solution=said(ref("rough_colour"), "In its bowl."),
        loads="What open cloth takes of each dye, in full strengths.",
        amounts_ml=AMOUNTS,
        shifts="What one part or drop more of each dye does.",
        lights="The dry cloth by every light, daylight first.",
        notes=NOTES["notes"],
    )
    | POT_WORDS,
    light=True,
    book=None,
)
RECIPE = fields(
    Recipe,
    pot=said(ref("pot"), "The pot."),
    lights="The cloth by every light, daylight first.",
    delta_e=DELTA_E,
    words="How it differs from what is wanted.",
)
WANTED = said({"anyOf": [{"type": "integer", "minimum": 1}, {"const": "wanted"}]}, "A pot by its place, or `wanted`.")
MATCH = whole(
    "match",
    "The pots nearest to a colour.",
    {
        "wanted": said(ref("colour"), "What was asked for."),
        "ground": table(
            PROPERTIES[PotColour] | {"dyed": said(FLAG, "Whether something lies on the cloth already.")},
            "What the pots go on.",
        ),
        **NOTES,
        "pots": each(table(RECIPE | POT_WORDS | {"amounts_ml": AMOUNTS}), "The nearest first."),
        "partings": each(
            table(
                {
                    "pots": said(row(WANTED, 2), "Which two."),
                    "match_under": LIGHT | {"description": "The light by which they match."},
                    "part_under": LIGHT | {"description": "The light by which they part."},
                    "delta_e": said(row(NUMBER, 2), "Between them by each of these lights, CIEDE2000."),
                }
            ),
            "Pots that match by one light and part by another.",
        ),
    },
    light=True,
    book=None,
)

value(
    Ladder,
    "ladder",
    "One dye or pot at rising strengths.",
    name="The dye or pot.",
    colours=each(HEX, "At each of `strengths`."),
    measured=each(
        {"type": "array", "prefixItems": [NUMBER, HEX], "items": False, "minItems": 2},
        "The maker's own swatches: full strengths, and sRGB.",
    ),
)
value(
    Spectrum,
    "spectrum",
    "What one dyed cloth throws back.",
    name="The dye or pot.",
    reflectance="At each of `nm`, 0 to 1.",
    hex=HEX,
)
value(
    Journey,
    "way",
    "How the colour of one region came about.",
    share=SHARE,
    history=HISTORY,
    labs=each(row(NUMBER, 3), "CIELAB of the bare cloth and after each of `history`, dry, by `light`."),
    hex=HEX,
    name=NAME,
)


def charted(kind: str, says: str, properties: Mapping[str, Schema], what: Schema | None = None) -> Schema:
    """One kind of chart. what : one of its dyes or pots, where either is charted."""
    properties = {"kind": said({"const": kind}, "The chart."), **properties}
    if what is None:
        return whole("chart", says, properties, light=True)
    listed = {"dyes": each(what, "Of each dye."), "pots": each(what, "Of each pot.")}
    schema = whole("chart", says, properties | listed, light=True, book=None)
    schema["required"] = [name for name in schema["required"] if name not in listed]
    either = [{"oneOf": schema.pop("oneOf")}, {"oneOf": [{"required": [name]} for name in listed]}]
    return schema | {"allOf": either}


CHART = {
    "oneOf": [
        charted(
            "ladders",
            "Each dye from weak to strong.",
            {"strengths": said(each(NUMBER), "Full strengths, rising.")},
            ref("ladder"),
        ),
        charted(
            "spectra",
            "What each dye throws back.",
            {"nm": said(each(NUMBER), "Wavelengths, nm."), "strength": said(NUMBER, "Full strengths of each.")},
            ref("spectrum"),
        ),
        charted("colours", "Where the colours of a cloth lie.", {"colours": each(ref("way"), "The largest first.")}),
    ]
}

value(
    BuildUp, "build_up", "How load grows with strength.", law="The law.", bend="How far it bends; not used by linear."
)
value(
    CalibratedDye,
    "calibrated_dye",
    "One dye as learnt.",
    name="What it is called.",
    hex=HEX,
    build_up=said(ref("build_up"), "How load grows with strength."),
    expected_error="Of predictions with it, CIEDE2000; null: nothing could be held out.",
    pieces="How many pieces have it in them.",
    before=said({"enum": ["book", "colour"]}, "What it was predicted by before."),
)
value(
    MeasuredPiece,
    "piece",
    "One measured piece of cloth.",
    name="What it is called.",
    dyes=named(NUMBER, "What it was dyed with, in full strengths, the lowest first."),
    measured=HEX,
    before=HEX | {"description": "Predicted before, sRGB as #rrggbb."},
    after=HEX | {"description": "Predicted with the dyes learnt, sRGB as #rrggbb."},
    miss_before=DELTA_E,
    miss_after=DELTA_E,
    held_out="When it is foretold by all the others, CIEDE2000; null: no other has its dyes.",
    problems="Why it was left out; none: it was used.",
)
MISS = said({"type": ["number", "null"]}, "CIEDE2000; null: nothing to take it of.")
PROPERTIES[Calibration] = fields(
    Calibration,
    dyes="What was learnt.",
    pieces="What it was learnt from.",
    cloth=HEX | {"description": "The undyed cloth, sRGB as #rrggbb."},
    surface="Reflectance that no dye goes below, 0 to 1.",
    surface_between="Where that lies, two times in three; null: not known, and taken as a common cotton's.",
)
value(
    BookChanges,
    "changes",
    "What became of the dye book.",
    added="Names of new dyes.",
    replaced="Of dyes that took an older one's place.",
    kept="Of dyes left as they were.",
)
CALIBRATE = whole(
    "calibrate",
    "Dyes learnt from dyed cloth.",
    {
        **PROPERTIES[Calibration],
        "book": said(maybe(ref("changes")), "What was changed; null: nothing was saved."),
        **NOTES,
        "median": table(
            {"miss_before": MISS, "miss_after": MISS, "held_out": MISS}, "Of the pieces: the usual difference."
        ),
    },
    light=True,
    book=True,
)

value(
    Difference,
    "difference",
    "One region, planned and dyed.",
    number="From 1, what differs most over much of the cloth first.",
    place=said(row(NUMBER, 2), "A spot well inside it: x, y as shares of width and height, 0 to 1."),
    share=SHARE,
    history=HISTORY,
    planned=HEX,
    dyed=HEX,
    difference=DELTA_E,
    planned_name=NAME,
    dyed_name=NAME,
    words="How it came out.",
)
value(
    Swatch,
    "swatch",
    "One measured piece of cloth.",
    name="What it is called.",
    dyes=named(NUMBER, "What it was dyed with, in full strengths."),
    lab=maybe(LAB),
    colour=said({"type": ["string", "null"]}, "sRGB as #rrggbb, where it is known by that."),
    samples=each(row(NUMBER, 2), "Its reflectance, where it is known by that: nm, and 0 to 1."),
)
COMPARE = whole(
    "compare",
    "A dyed cloth beside its plan.",
    {
        **fields(
            Comparison,
            regions="What differs most over much of the cloth first.",
            overall=said(NUMBER, "Mean over the regions by area, CIEDE2000."),
            agreement=said(NUMBER, "How well the patterns lie on each other, up to 1."),
            notes=NOTES["notes"],
        ),
        "files": FILES["files"],
        "summary": said(TEXT, "All of it in a line."),
        "teaches": maybe(
            table(
                {
                    "file": said(TEXT, "Name of the table for calibrate."),
                    "swatches": each(ref("swatch"), "What is in it."),
                },
                "What calibrate can learn from it; null: nothing.",
            )
        )
        | {"description": "What calibrate can learn from it; null: nothing."},
    },
    light=True,
)

PAINT = table(
    {name: schema for name, schema in PROPERTIES[Pot].items() if name != "name"}
    | {
        "pot": said(TEXT, "What it is called, with its strength where that isn't the design's own."),
        "hex": HEX | {"description": "Alone on bare cloth, sRGB as #rrggbb."},
        "where": said({"type": ["string", "null"]}, "The picture that says where; null: everywhere."),
        "reaches": said(FLAG, "Whether it reaches any open cloth."),
    }
)
PARTS = ("wants", "rest", "mud", "dull", "lost", "vanished", "reads", "order", "pots", "idle")
ORDER = {
    "rank": said({"type": ["integer", "null"]}, "From 1, the best; null: the design as it stands."),
    "as_it_stands": said(FLAG, "Whether it is the design's own order."),
    "points": said(NUMBER, "The fewer the better."),
    "sequence": said(TEXT, "The pots in order, in words."),
    "dyeings": each(each(PAINT), "Each dyeing with its pots."),
    "wants": each(
        table(
            fields(
                Met,
                called="What the maker calls it.",
                wanted=HEX,
                hex=HEX,
                lab=LAB,
                delta_e=DELTA_E,
                kept="Whether it comes out near enough.",
            )
            | fields(ColourName, name=NAME, plain=PLAIN)
        ),
        "What becomes of each colour that is asked for.",
    ),
    **sentences("reasons", each(TEXT, "What speaks for it and against."), several=True),
    "parts": table({name: said(NUMBER, "Points.") for name in PARTS}, "The points by what they are for."),
}
ORDERS = whole(
    "orders",
    "Orders of a design's pots, ranked.",
    {
        "masks": said({"enum": ["keep", "derive"]}, "Whether the wax is kept as drawn, or drawn anew for each."),
        "how": said({"enum": ["every", "search"]}, "Whether every order was tried."),
        "tried": said(WHOLE, "How many were tried."),
        "of": said(WHOLE, "Of how many."),
        "told": said(TEXT, "The same in words."),
        "orders": each(table(ORDER), "The best first."),
        "planned": table(
            ORDER | {"better": said({"type": ["integer", "null"]}, "How many are better; null: not known.")},
            "The design as it stands.",
        ),
        **NOTES,
    },
    light=True,
)

REGION = fields(
    RegionReport,
    name=NAME,
    share=said(NUMBER, "Of the picture, 0 to 1."),
    at_mm=said(row(NUMBER, 2), "A spot of it on the cloth: x, y from the top left, mm."),
    wanted=HEX | {"description": "In the picture, sRGB as #rrggbb."},
    reachable=HEX | {"description": "As near as this plan can, sRGB as #rrggbb."},
    given=HEX | {"description": "As most of it comes out, sRGB as #rrggbb."},
    difference=said(NUMBER, "Between wanted and reachable, CIEDE2000."),
    mean_difference=said(NUMBER, "Between picture and cloth, spot by spot, CIEDE2000."),
    pots=each(TEXT, "The pots that it takes, by dyeing."),
    words="What came of it.",
    impossible=said(TEXT, "Why the colour itself can't be had, if so."),
)
FROM_PICTURE = whole(
    "from-picture",
    "A design made of a picture.",
    fields(
        PictureReport,
        regions=each(table(REGION), "Colours of the picture, the largest first."),
        mean_difference=said(NUMBER, "Of cloth and picture, CIEDE2000."),
        notes=NOTES["notes"],
    )
    | {
        "dyeings": each(
            table(
                {
                    "waxed_before": said(FLAG, "Whether there is something to wax before."),
                    "waxed_share": said(NUMBER, "Of the cloth, 0 to 1."),
                    "pots": each(
                        table(
                            {"name": said(TEXT, "The pot."), "dyes": named(NUMBER, "What is in it, in full strengths.")}
                        ),
                        "Brushed side by side, or one over the whole cloth.",
                    ),
                }
            ),
            "In order.",
        ),
        "line_mm": said(NUMBER, "The finest line to wax, mm."),
        "width_mm": said(NUMBER, "Width of the cloth, mm."),
    },
    light=True,
)

STEPS = said(each(WHOLE), "Steps of the design.")
POTS = said(each(TEXT), "The pots.")
MM2 = said(NUMBER, "Open cloth that it reaches, mm2.")
value(
    Stock,
    "stock",
    "A dye dissolved in plain water.",
    dye="The dye.",
    need_g="Powder that is needed, g.",
    powder_g="Powder as it is measured out, g.",
    water_ml="To dissolve it in, ml.",
    grams_per_litre="Of the stock, g/l.",
    grams_full="Of full-strength solution, g/l.",
)
value(
    PotMix,
    "pot_mix",
    "One pot as it is mixed for one lot.",
    pot="The pot.",
    lot="Which lot, from 1.",
    steps=STEPS,
    mm2="Open cloth of one maker that it paints, mm2.",
    need_ml="What the cloths drink, with waste, ml.",
    each_ml="One maker's share as measured, ml.",
    ml="What its measured parts come to, ml.",
    stocks=each(
        {"type": "array", "prefixItems": [TEXT, NUMBER], "items": False, "minItems": 2}, "Each dye's stock, ml."
    ),
    chemical_ml="Chemical water, ml.",
)
value(
    ChemicalWater,
    "chemical_water",
    "Chemical water for the pots of one sitting.",
    sitting="Which sitting, from 1.",
    steps=STEPS,
    need_ml="What is needed, ml.",
    ml="As it is measured out, ml.",
    urea_g="Urea, g.",
    soda_g="Soda ash, g; 0: the cloth was soaked in fixative.",
    softener_g="Softener, g; 0: the water is soft.",
)
value(
    Mixes,
    "mixes",
    "What is mixed, measured in one system's measures.",
    stocks="Dyes dissolved.",
    pots="The pots.",
    waters="Chemical water.",
)
value(
    WaxUse,
    "wax_use",
    "Wax of one step, for all makers.",
    step=STEP,
    tool="The tool.",
    mm2="Cloth newly waxed, mm2.",
    need_g="What is needed, g.",
    beeswax_g="Beeswax as measured, g.",
    paraffin_g="Paraffin as measured, g.",
)
value(
    Presoak,
    "presoak",
    "Fixative to soak all cloths in.",
    ml="How much, ml.",
    soda_g="Soda ash in it, g.",
    cloth_g="Weight of the cloth, g.",
)
value(
    Bleach,
    "bleach",
    "Bleach solution of one step, as its label says, for all makers.",
    step=STEP,
    mm2=MM2,
    ml="How much, ml.",
)
value(
    Task,
    "task",
    "One piece of work.",
    work="What kind.",
    step=said({"type": "integer", "minimum": 0}, "Step of the design; 0: of none."),
    title="What it is.",
    detail="More of it.",
    minutes="How long it takes, waiting too, min.",
    mixing="Of those, to mix the pots, min.",
    pots=POTS,
    waits="It wants time but no hands, and may run overnight.",
    splits="It may go on in the next sitting.",
    longest=said({"type": ["number", "null"]}, "Of a wait, up to which more is better, min; null: no matter."),
    cautions=each({"enum": list(CAUTIONS)}, "What it needs care for: keys of `cautions`."),
)
value(
    Slot,
    "slot",
    "A task, or a part of it, at its time.",
    start="Into the sitting, min.",
    minutes="How long, min.",
    part="Which part of it; null: all.",
)
value(
    Sitting,
    "sitting",
    "One session.",
    number="From 1.",
    minutes="As given, min; null: as long as it takes.",
    slots="What is done, in order.",
    after="What runs by itself until the next.",
    extra="Needed beyond those given.",
    used="Until its last task is done, min.",
)
value(
    Lot,
    "lot",
    "Pots that are mixed together.",
    number="From 1.",
    sitting="In which they are mixed, from 1.",
    start="Mixed so far into it, min.",
    end="Last used so far into it, min.",
    steps=STEPS,
    pots=POTS,
    mixes="How often, where it takes longer than a pot is of use.",
)
KEEPS = {"type": ["number", "null"]}
value(
    Timetable,
    "timetable",
    "How the time divides.",
    before="What to do before, at home.",
    sittings="The sessions.",
    home="What to do after, at home.",
    lots="In which pots are mixed.",
    room_c="Temperature of the room, °C.",
    pot_strong_min=said(KEEPS, "How long a mixed pot keeps its strength, min; null: it has no fixative, and keeps."),
    pot_useful_min=said(KEEPS, "How long a mixed pot is of use, min; null: it has no fixative, and keeps."),
    unused="Of each session given that isn't needed, min.",
    warnings="What doesn't fit.",
    hands_min="Work in the sittings, without waits, min.",
)
value(
    StepArea,
    "reach",
    "What one operation of a step reaches.",
    step=STEP,
    work="What it does.",
    pot="Of a dyeing, else empty.",
    mm2="Newly waxed, dyed, bleached, or cleared of wax, mm2.",
    marked_mm2="What its picture marks in all, mm2.",
    edge_mm="Of a waxing, the outline around what is newly waxed, mm.",
)
value(
    Item,
    "item",
    "One thing to buy.",
    key="What a price list calls it.",
    name="What it is.",
    unit=said({"enum": ["mm", "g", "ml"]}, "Of `need`."),
    need="How much, in `unit`.",
    note="What it is for.",
    packs="How many to buy; 0: not sold in packs.",
    used="Cost of what is used; null: no price.",
    pay="Cost of what is bought; null: no price.",
    plus={"words": named(TEXT, "How much, in each of the measures asked for.")},
)
value(
    Shopping,
    "shopping",
    "What to buy.",
    items="Each thing.",
    ready="What to have ready.",
    currency="Of the costs; empty: no prices.",
    used=said({"type": ["number", "null"]}, "Cost of what is used; null: no prices."),
    pay=said({"type": ["number", "null"]}, "Cost of what is bought; null: no prices."),
)
value(
    Caution,
    "caution",
    "One thing to look out for.",
    title="What.",
    text="What to do.",
    source="Where it is known from.",
)
value(
    Figure,
    "figure",
    "One trade figure that amounts and times are worked out from.",
    name="Its name.",
    value="As it is used, in `unit`.",
    low="The least it is said to be.",
    high="The most it is said to be.",
    unit="Its unit.",
    grade="How well it is known.",
    what="What it is.",
    source="Where it is from.",
)
PROPERTIES[WorkshopRequest] = fields(
    WorkshopRequest,
    makers="How many each make the cloth.",
    room_c="Temperature of the room, °C.",
    presoaked="The cloth is soaked in fixative first.",
    hard_water="The water is hard.",
    waste="Share on top of all amounts; 0.15 is 15%.",
    sessions_min="Length of each session, min; none: all in one go.",
)
WORKSHOP = whole(
    "workshop",
    "Amounts and times for a class; for all makers together where nothing else is said.",
    fields(
        Workshop,
        without=("title",),
        grams_per_m2="Weight of the cloth, g/m2.",
        mixes=table(
            {system: said(ref("mixes"), f"In {system} measures.") for system in ("metric", "us", "imperial")},
            "What is mixed, by measures: those asked for.",
            maybe_out=("us", "imperial"),
        ),
        wax="Of each waxing.",
        bleach="Of each bleaching.",
        presoak=said(maybe(ref("presoak")), "Fixative to soak the cloth in; null: none."),
        timetable=said(ref("timetable"), "How the time divides."),
        wax_pots="How many the makers share.",
    )
    | {
        "cloth": table({"width_mm": said(NUMBER, "mm."), "height_mm": said(NUMBER, "mm.")}, "Size of one cloth."),
        "reaches": each(ref("reach"), "What each operation reaches on one cloth, in order."),
        "shopping": said(ref("shopping"), "What to buy."),
        "wax_pot_fill_g": table(
            {"beeswax": said(NUMBER, "g."), "paraffin": said(NUMBER, "g.")}, "What fills the wax pots."
        ),
        "cautions": table({key: said(ref("caution"), "A caution.") for key in CAUTIONS}, "All of them, by key."),
        **ASSUMED,
        **sentences("defer", said(TEXT, "What comes before anything said here.")),
        **NOTES,
        "figures": each(ref("figure"), "All of them."),
    },
)

OUTPUTS = {
    "new": NEW,
    "preview": PREVIEW,
    "stages": STAGES,
    "check": CHECK,
    "overdye": OVERDYE,
    "pot": POT,
    "match": MATCH,
    "chart": CHART,
    "strip": STRIP,
    "calibrate": CALIBRATE,
    "compare": COMPARE,
    "orders": ORDERS,
    "from-picture": FROM_PICTURE,
    "workshop": WORKSHOP,
    "handout": HANDOUT,
    "trace": TRACE,
    "risk": RISK,
}
SEVERAL = ("preview", "check", "workshop")  # which take several designs at once


def several(one: Schema) -> Schema:
    """What a command prints of one design, or of several."""
    named = said(ref("origin"), "Its file is as it was named.")
    failed = {"design": named, "error": said(TEXT, "What is wrong with it.")}
    head = {"format": said({"const": FORMAT}, "Format of this data."), "version": said(TEXT, "Version of batiksim.")}
    listed = each(
        {"anyOf": [ref("one"), table(failed, "A design that can't be used.")]}, "In the order they were named."
    )
    return {"anyOf": [ref("one"), table(head | {"designs": listed}, "Of several designs.")], "$defs": {"one": one}}


def output_schema(name: str) -> Schema:
    """The schema of what a command prints, with all it refers to."""
    body = several(OUTPUTS[name]) if name in SEVERAL else OUTPUTS[name]
    used: dict[str, Schema] = {}
    _collect(body, used)
    draft = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"batiksim {name} --json"}
    return draft | body | {"$defs": body.get("$defs", {}) | {key: used[key] for key in sorted(used)}}


def _collect(schema: Any, used: dict[str, Schema]) -> None:
    for part in schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ():
        if isinstance(part, str) and part.startswith("#/$defs/"):
            name = part.removeprefix("#/$defs/")
            if name in DEFS and name not in used:
                used[name] = DEFS[name]
                _collect(DEFS[name], used)
        else:
            _collect(part, used)


def schema_text(name: str) -> str:
    """The text of a schema's file."""
    return json.dumps(output_schema(name), ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for command in OUTPUTS:
        (FOLDER / f"{command}.json").write_text(schema_text(command), encoding="utf-8")
