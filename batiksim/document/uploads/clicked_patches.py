"""A photo of dyed patches as the maker clicked them: its strip file, and the dye book that it teaches."""

import tomlkit

from batiksim import jobs
from batiksim.changes.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values import FORMAT

OWN_BOOK = "my-dyes.toml"  # in the cloth's folder
GREY_CARD = 0.18  # reflectance of the usual photographic grey card (common practice)
MOST_PATCHES = 200

FIXES = {  # advice on what is wrong with a strip that was clicked, not written, by the key of the problem
    "photo.error.brightness_unknown": "document.photo.click_white_too",
    "photo.error.contrast": "document.photo.check_card",
    "photo.error.cloth_above_white": "document.photo.check_card",
    "photo.error.cloth_dark_or_vivid": "document.photo.check_card",
    "photo.error.cloth_far_from_stated": "document.photo.check_card",
    "photo.error.card_is_black": "document.photo.brighter",
    "photo.error.cloth_is_black": "document.photo.brighter",
    "calibration.error.no_dye_shows": "document.photo.check_patches",
}


def strip_text(size: tuple[int, int], fields: RequestFields, *, cloth_assumed: bool) -> str:
    """The strip file of clicked patches: the whole photo is the strip, every patch has a place of its own.

    cloth_assumed : whether the undyed cloth's colour is only what cotton commonly is
    size : rows and columns of the photo; fields : cloth, the undyed cloth's colour; patches, each {x, y, side, undyed,
        card or dyes}: the middle of the square that is read, as shares of the photo's width and height, and its side
        as a share of the width
    """
    rows, cols = size
    document = tomlkit.document()
    document["format"] = FORMAT
    document["title"] = str(say("document.photo.strip_title"))
    document["cloth"] = {"colour": fields.text("cloth"), "assumed": cloth_assumed}
    document["photo"] = {"corners": [[0, 0], [cols, 0], [cols, rows], [0, rows]]}
    clicks = [RequestFields(entries) for entries in fields.sequence("patches", most=MOST_PATCHES)]
    if not any("dyes" in click for click in clicks):
        raise BatikError("document.error.no_dyed_patch", field="patches")
    cards = [{"reflectance": GREY_CARD, "at": _place(click, size)} for click in clicks if click.flag("card")]
    patches = [_patch(click, size) for click in clicks if not click.flag("card")]
    if cards:
        document["card"] = cards
    document["patch"] = patches
    return tomlkit.dumps(document)


def has_card(fields: RequestFields) -> bool:
    """Whether a grey card was clicked, which gives the cloth's colour."""
    return any(RequestFields(entries).flag("card") for entries in fields.sequence("patches", most=MOST_PATCHES))


def _place(click: RequestFields, size: tuple[int, int]) -> list[float]:
    """Left, top, width and height of a patch of whose middle the clicked square is read; shares of the photo."""
    rows, cols = size
    x, y, side = click.number("x", 0, 1), click.number("y", 0, 1), click.number("side", 0.002, 0.5)
    x, y = _within(x, side, cols), _within(y, side * cols / rows, rows)
    wide = side / jobs.READ_SHARE
    high = wide * cols / rows
    return [round(x - wide / 2, 5), round(y - high / 2, 5), round(wide, 5), round(high, 5)]


def _within(middle: float, side: float, pixels: int) -> float:
    """The middle of a square that lies within the photo, by a pixel at least. All as shares of one of its sides."""
    room = min(0.5, side / 2 + 1 / pixels)
    return min(1 - room, max(room, middle))


def _patch(click: RequestFields, size: tuple[int, int]) -> dict[str, object]:
    if click.flag("undyed"):
        return {"undyed": True, "at": _place(click, size)}
    loads = click.nested("dyes")
    dyes = {str(name): loads.number(name, 0.001, 10) for name in loads.entries}
    if not dyes:
        raise BatikError("document.error.patch_without_dye", field="patches")
    return {"dyes": dyes, "at": _place(click, size)}


def photo_error(error: BatikError, name: str) -> BatikError:
    """What is wrong with a clicked strip, as an error of the photo: the maker has written no strip file."""
    return BatikError(error.problem, file=name, got=error.got, fix=FIXES.get(error.problem.key, error.fix))
