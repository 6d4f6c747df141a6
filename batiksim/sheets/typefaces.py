"""Which typeface has a letter: Alegreya in `data/fonts`, then those of Python packages, then the computer's own.

A run of one script is set in one face where one has all of it, and a mark in the face of its letter. Letters that no
face has are left out and told (`texts.letters`): neither a box nor a dot stands for them.
"""

import importlib.util
import re
import shutil
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

from batiksim.texts.letters import left_out

FONT_FOLDER = Path(__file__).parent.parent / "data" / "fonts"
SANS = "AlegreyaSans-Regular.ttf"
_PACKAGES = {"manimgx_fonts": "*.ttf", "matplotlib": "mpl-data/fonts/ttf/DejaVu*.ttf"}
_SPECIAL = ("Bold", "Italic", "Oblique", "Mono", "Light", "Thin", "Black", "Condensed", "Display")
_PLAIN = {"\u2011": "-", "\u2010": "-", "\u202f": "\u00a0", "\u2003": " ", "\u3000": " "}  # where a face lacks them
_BLANK = ("LastResort", "AdobeBlank", "NotDef")  # faces that draw a box or nothing for every letter
_USUAL = "–—‘’“”…€−"  # with all below U+0149, in every face of `FONT_FOLDER`: known without reading one
Run = tuple[str, str]  # the file of a face, and the text that is set in it


def runs(text: str, face: str = SANS) -> tuple[Run, ...]:
    """The text by the faces that have it, in the order of reading; what no face has is left out and told.

    face : file of the one that is wanted, in `FONT_FOLDER`
    """
    placed, missing = _placed(text, face)
    for letter in missing:
        not_shown(letter, text)
    return placed


def not_shown(letter: str, text: str) -> None:
    """Tell of a letter that is left out of a text."""
    left_out(letter, _script(letter), text)


def silent_runs(text: str, face: str) -> tuple[Run, ...]:
    """As `runs`, for measuring: nothing is told."""
    return _placed(text, face)[0]


def settable(text: str, face: str = SANS) -> str:
    """The text without letters that no face has; they are told."""
    return text if text.isascii() else "".join(part for _, part in runs(text, face))


def others(text: str) -> tuple[str, ...]:
    """The files of faces beside Alegreya that a text needs."""
    files = dict.fromkeys(file for file, _ in silent_runs(text, SANS))
    return tuple(file for file in files if Path(file).parent != FONT_FOLDER)


def settable_data(data: Any, folder: Path) -> Any:
    """Plain data with all texts in it as `settable`. folder : faces beside Alegreya that they need are copied there."""
    if isinstance(data, str):
        for file in others(data):
            if not (copy := folder / Path(file).name).exists():
                shutil.copyfile(file, copy)
        return settable(data)
    if isinstance(data, Mapping):
        return {key: settable_data(value, folder) for key, value in data.items()}
    return [settable_data(value, folder) for value in data] if isinstance(data, list | tuple) else data


@lru_cache(maxsize=8192)
def _placed(text: str, face: str) -> tuple[tuple[Run, ...], tuple[str, ...]]:
    """The runs of a text, and the letters that no face has."""
    wanted = str(FONT_FOLDER / face)
    if text.isascii():
        return ((wanted, text),), ()
    pieces: list[Run] = []
    missing: dict[str, None] = {}
    composed = unicodedata.normalize("NFC", _with_eighths(text))
    whole = "".join(letter if _has(wanted, letter) else _PLAIN.get(letter, letter) for letter in composed)
    if all(_has(wanted, letter) for letter in whole):
        return ((wanted, whole),), ()
    for _, group in groupby(_by_script(_clusters(whole)), key=lambda piece: piece[0]):
        clusters = [cluster for _, cluster in group]
        file = _face_of("".join(clusters), wanted)
        for cluster in clusters:
            own = file or _face_of(cluster, wanted) or _face_of(cluster[0], wanted)
            kept = "".join(letter for letter in cluster if own and _has(own, letter))
            missing |= dict.fromkeys(letter for letter in cluster if letter not in kept and _is_told(letter))
            pieces += [(own, kept)] if own and kept else []
    joined = groupby(pieces, key=lambda piece: piece[0])
    return tuple((file, "".join(part for _, part in group)) for file, group in joined), tuple(missing)


def _with_eighths(text: str) -> str:
    """Eighths as figures over figures, which templates set as a fraction: Alegreya has no letter for them."""
    for sign, top in zip("⅛⅜⅝⅞", "1357", strict=True):
        text = re.sub(f"(?<=\\d){sign}", f"\u00a0{top}/8", text).replace(sign, f"{top}/8")
    return text


def _is_told(letter: str) -> bool:
    """Whether anything of it would be seen: not of controls, and signs that join, turn or choose."""
    return not (_is_unseen(letter) or unicodedata.category(letter) in {"Cc", "Cn", "Co", "Cs", "Zl", "Zp"})


def _is_unseen(letter: str) -> bool:
    return letter in "\n\t\r" or unicodedata.category(letter) == "Cf" or "\ufe00" <= letter <= "\ufe0f"


def _clusters(text: str) -> list[str]:
    """Each letter with the marks and joiners that follow it."""
    clusters: list[str] = []
    for letter in text:
        if clusters and (unicodedata.category(letter) in {"Mn", "Mc", "Me"} or _is_unseen(letter)):
            clusters[-1] += letter
        else:
            clusters.append(letter)
    return clusters


def _script(letter: str) -> str:
    from fontTools.unicodedata import script

    code: str = script(letter)
    return "Zyyy" if code in {"Zinh", "Zzzz"} else code


def _by_script(clusters: Iterable[str]) -> list[tuple[str, str]]:
    """Clusters with their script; spaces and signs between letters of one script are of that script."""
    placed = [(_script(cluster[0]), cluster) for cluster in clusters]
    last = -1
    for at, (script, _) in enumerate(placed):
        if script == "Zyyy":
            continue
        if last >= 0 and placed[last][0] == script:
            placed[last:at] = [(script, cluster) for _, cluster in placed[last:at]]
        last = at
    return placed


@lru_cache(maxsize=4096)
def _face_of(cluster: str, wanted: str) -> str | None:
    """The first face that has all letters, those that are named for the script before the rest."""
    if all(_has(wanted, letter) for letter in cluster):
        return wanted
    from fontTools.unicodedata import script_name

    name = script_name(_script(cluster[0])).replace(" ", "").replace("_", "")
    for files in (_package_files(), _system_files()):
        for file in sorted(files, key=lambda file: name not in file):
            if all(_has(file, letter) for letter in cluster):
                return file
    return None


def _has(file: str, letter: str) -> bool:
    if _is_unseen(letter):
        return True
    usual = " " <= letter <= "~" or "\xa0" <= letter < "\u0149" or letter in _USUAL
    return (usual and file.startswith(str(FONT_FOLDER))) or ord(letter) in _letters(file)


@cache
def _letters(file: str) -> frozenset[int]:
    """The letters that a face draws with outlines; none of a file that can't be read."""
    from matplotlib.ft2font import FT2Font

    try:
        face = FT2Font(file)
        return frozenset(face.get_charmap()) if face.scalable else frozenset()
    except (OSError, RuntimeError, ValueError):
        return frozenset()


@lru_cache(maxsize=1)
def _package_files() -> tuple[str, ...]:
    found: list[Path] = []
    for package in _PACKAGES:
        spec = importlib.util.find_spec(package)
        for folder in (spec.submodule_search_locations if spec else None) or ():
            found += _plainest(Path(folder).glob(_PACKAGES[package]))
    return tuple(map(str, found))


@lru_cache(maxsize=1)
def _system_files() -> tuple[str, ...]:
    from matplotlib.font_manager import findSystemFonts

    return tuple(map(str, _plainest(map(Path, findSystemFonts()))))


def _plainest(files: Iterable[Path]) -> list[Path]:
    """Files of faces by name, upright and regular ones first, those without serifs before others."""
    drawn = [file for file in files if not any(word in file.stem for word in _BLANK)]
    return sorted(drawn, key=lambda file: (any(word in file.stem for word in _SPECIAL), "Sans" not in file.stem, file))
