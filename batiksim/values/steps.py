"""What is done to the cloth, step by step."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, ClassVar, Literal, TypeAlias

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message
from batiksim.values.documented import documented
from batiksim.values.rules import (
    Entries,
    Number,
    Rule,
    Text,
    choice,
    flag,
    keys_found,
    number,
    placed,
    setting,
    share,
    text,
    toml_line,
)
from batiksim.values.settings import Tables, Value, members, read, schema_of, type_name

if TYPE_CHECKING:
    from batiksim.types import StrPath

Picture: TypeAlias = "MaskUse | StrPath"
"""A mask as values take it: how it is used, or its picture's name alone."""
Grey = Literal["cover", "thin"]
Marks = Literal["dark", "light", "alpha"]
Tool = Literal["canting", "brush", "stamp"]
GREYS: tuple[Grey, ...] = ("cover", "thin")
MARKS: tuple[Marks, ...] = ("dark", "light", "alpha")
TOOLS: tuple[Tool, ...] = ("canting", "brush", "stamp")
_NO_NAMES = ("keep", "wax", "mask", "step", "paint")  # words before a picture's name that say what it is for
_PICTURE = Text(file=True, longest=400, example="leaves.png", help="The picture's file.")


@documented
@dataclass(frozen=True, kw_only=True)
class MaskUse(Value):
    """A mask picture and how to read it.

    Examples
    --------
    >>> from batiksim import MaskUse, Wax
    >>> Wax(mask="petals.png") == Wax(mask=MaskUse(picture="petals.png"))
    True
    >>> MaskUse(picture="petals.png", marks="light").called
    'petals'
    """

    KIND = "mask"

    picture: str = field(metadata=setting(_PICTURE))
    marks: Marks | None = field(
        default=None,
        metadata=choice(
            "Which part of the picture is the shape: the dark part, the light part, or the solid part of a see-through "
            "picture (alpha). Worked out where left out.",
            MARKS,
            "dark",
        ),
    )
    clean: bool = field(default=False, metadata=flag("Take it as a photo or scan of a drawing, and clean it."))

    def __init__(self, *, picture: StrPath, marks: Marks | None = None, clean: bool = False) -> None:
        self._keep(locals())

    @property
    def called(self) -> str:
        """What to call the picture in a sentence: its name without folders and ending."""
        return picture_name(self.picture)

    @property
    def shape(self) -> str:
        """What the picture's name says of what it shows: "masks/2-keep-petals.png" is "petals"; "" where nothing."""
        words = re.split(r"[-_\s]+", self.called)
        while words and (words[0].isdigit() or words[0].lower() in _NO_NAMES):
            words.pop(0)
        return " ".join(words)


def picture_name(picture: str) -> str:
    """A picture's name without folders, ending and the mark of its content that the worktable adds."""
    name = picture.rpartition("/")[2]
    stem = name.rpartition(".")[0] or name
    head, _, mark = stem.rpartition("-")
    marked = head and len(mark) == 10 and all(letter in "0123456789abcdef" for letter in mark)
    return head if marked else stem


_BESIDE = ("marks", "clean")


@dataclass(frozen=True, kw_only=True)
class Mask(Rule):
    """A mask's picture at a key, its marks and clean beside it. everywhere : true stands for the whole cloth."""

    everywhere: bool = False
    takes = "MaskUse or path-like"

    def check(self, value: Any, key: str) -> Any:
        if isinstance(value, MaskUse):
            return value
        if not isinstance(value, str | os.PathLike):
            arrays = "; an array goes into masks={name: array}" if hasattr(value, "ndim") else ""
            raise TypeError(f"must be MaskUse or a picture's name, not {type_name(value)}{arrays}")
        return MaskUse(picture=_PICTURE.check(value, key))

    def keys(self, name: str) -> tuple[str, ...]:
        return (self.key or name, *_BESIDE)

    def take(self, entries: Entries, name: str) -> dict[str, Any]:
        key = self.key or name
        picture = entries.get(key)
        if picture is None or (self.everywhere and picture is True):
            for beside in _BESIDE:
                if beside in entries:
                    example = toml_line(key, self.example)
                    raise BatikError("values.error.no_picture", got=beside, example=example)
            return {} if picture is None else {name: None}
        if self.everywhere and not isinstance(picture, str):
            raise self.wrong("values.error.picture_or_true", key, picture, example=self.example)
        given = {beside: entries[beside] for beside in _BESIDE if beside in entries}
        return {name: MaskUse(picture=_PICTURE.check(picture, key), **given)}

    def give(self, value: Any, name: str, *, default: object) -> dict[str, Any]:
        key, use = self.key or name, getattr(value, name)
        if use is None:
            return {key: True} if self.everywhere else {}
        entries = use.written()
        return {key: entries.pop("picture"), **entries}

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"const": True}, _PICTURE.schema()]} if self.everywhere else _PICTURE.schema()

    def properties(self, name: str) -> dict[str, dict[str, Any]]:
        described: dict[str, dict[str, Any]] = schema_of(MaskUse)["properties"]
        return super().properties(name) | {key: described[key] for key in _BESIDE}


def needs_picture(key: str) -> dict[str, Any]:
    """JSON Schema: marks and clean go with a picture at a key."""
    with_picture = {"properties": {key: {"type": "string"}}, "required": [key]}
    return {"dependentSchemas": {beside: with_picture for beside in _BESIDE}}


def note(example: str) -> dict[str, Rule]:
    """What the maker tells learners, in any number of lines."""
    return text("What you tell learners about it.", example, lines=True, longest=2000)


_NOTE = note("Warm the cloth a little first.")


@documented
@dataclass(frozen=True, kw_only=True)
class Wax(Value):
    """Hot wax where the mask says.

    Examples
    --------
    >>> from batiksim import Wax
    >>> wax = Wax(mask="masks/2-keep-petals.png", crackle=0.3)
    >>> wax.mask.shape, wax.paraffin
    ('petals', 0.5)
    """

    KIND = "wax"

    mask: MaskUse = field(
        metadata=setting(Mask(key="wax", example="leaves.png", help="The picture that says where the wax goes."))
    )
    grey: Grey = field(
        default="cover",
        metadata=choice(
            "What grey in the picture means: so much of the spot is under wax (cover), or wax too thin to seal (thin).",
            GREYS,
            "thin",
        ),
    )
    crackle: float = field(
        default=0.0, metadata=share("How hard you crumple the waxed cloth afterwards; this wax cracks.", 0.3)
    )
    tool: Tool | None = field(default=None, metadata=choice("What you wax with.", TOOLS, "canting"))
    paraffin: float = field(
        default=0.5, metadata=share("Share of paraffin in the wax, the rest beeswax: more of it cracks finer.", 0.6)
    )
    edges: float = field(
        default=0.0,
        metadata=share(
            "How much the tool shows: creeping lines and drops of a canting, a dry brush, a patchy stamp.", 0.3
        ),
    )
    cool: float = field(
        default=0.0, metadata=share("How much too cool the wax is; cool wax sits on top and seals less.", 0.4)
    )
    seed: int | None = field(
        default=None,
        metadata=number(
            "Another number gives other cracks and other edges; made of title and step where left out.",
            *(7, 0, 1_000_000_000),
            whole=True,
        ),
    )
    note: str = field(default="", metadata=_NOTE)

    def __init__(
        self,
        *,
        mask: Picture,
        grey: Grey = "cover",
        crackle: float = 0.0,
        tool: Tool | None = None,
        paraffin: float = 0.5,
        edges: float = 0.0,
        cool: float = 0.0,
        seed: int | None = None,
        note: str = "",
    ) -> None:
        self._keep(locals())

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        shows = {"properties": {"edges": {"exclusiveMinimum": 0}}, "required": ["edges"]}
        return {"if": shows, "then": {"required": ["tool"]}}

    def agree(self) -> None:
        if self.edges > 0 and self.tool is None:
            raise BatikError("values.error.edges_of_what", field="edges", got=self.edges)

    @property
    def seals(self) -> bool:
        """Whether the wax seals what it covers; thin or cool wax only holds back part of the dye."""
        return self.grey == "cover" and self.cool == 0

    @property
    def shaped(self) -> bool:
        """Whether the wax lies other than drawn: cracked, with the tool's edges, or too cool."""
        return self.crackle > 0 or self.edges > 0 or self.cool > 0


@dataclass(frozen=True, kw_only=True)
class Spread(Rule):
    """Whether a pot spreads, in files with its reach in mm where that is given: true, or 3.5."""

    reach: Rule
    takes = "bool"

    def check(self, value: Any, key: str) -> Any:
        if not isinstance(value, bool):
            raise self.wrong("values.error.spread", key, value)
        return value

    def take(self, entries: Entries, name: str) -> dict[str, Any]:
        key = self.key or name
        spread = entries.get(key, False)
        if isinstance(spread, bool) or not isinstance(spread, int | float):
            return {name: self.check(spread, key)}
        return {name: True, "reach_mm": self.reach.check(spread, key)}

    def give(self, value: Any, name: str, *, default: object) -> dict[str, Any]:
        return {self.key or name: value.reach_mm or True} if value.spread else {}

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"type": "boolean"}, self.reach.schema()]}


_REACH = Number(help="How far it creeps.", example=3, low=0, high=30, above=True, unit="mm")


@documented
@dataclass(frozen=True, kw_only=True)
class Paint(Value):
    """One pot brushed on: where a paint mask says, or over the whole cloth without one. Grey scales the load.

    Parameters
    ----------
    reach_mm : float, optional
        How far a pot that spreads creeps; as thin dye does on dry cloth where left out.
        Above 0 to 30 mm.

    Examples
    --------
    >>> from batiksim import Paint
    >>> Paint(pot="navy", where="sky.png", spread=True, reach_mm=3).where.picture
    'sky.png'
    """

    KIND = "paint"

    pot: str = field(metadata=text("A pot, or a dye at full strength.", "navy"))
    where: MaskUse | None = field(
        default=None,
        metadata=setting(
            Mask(example="sky.png", help="The picture that says where it is brushed; the whole cloth where left out.")
        ),
    )
    spread: bool = field(
        default=False,
        metadata=setting(
            Spread(
                reach=_REACH,
                example=3,
                help="Whether it creeps to the wax edge: true, or how far in mm.",
                python="Whether it creeps through open fibre to the wax edge.",
            )
        ),
    )
    reach_mm: float | None = None

    def __init__(
        self, *, pot: str, where: Picture | None = None, spread: bool = False, reach_mm: float | None = None
    ) -> None:
        self._keep(locals())

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        return needs_picture("where")

    def agree(self) -> None:
        if self.reach_mm is not None:
            object.__setattr__(self, "reach_mm", _REACH.check(self.reach_mm, "reach_mm"))
            if not self.spread:
                raise BatikError("values.error.reach_of_what", field="reach_mm", got=self.reach_mm)

    def written(self) -> Any:
        """The table of a pot; its name alone where there is nothing else to say."""
        entries = super().written()
        return self.pot if len(entries) == 1 else entries

    @property
    def creeps(self) -> bool:
        """Whether it comes to lie wider than brushed on."""
        return self.spread and self.where is not None


@dataclass(frozen=True, kw_only=True)
class Paints(Rule):
    """The pots of a dyeing: one or a list, each by its name or as a table."""

    takes = "str, Paint or sequence of those"

    def check(self, value: Any, key: str) -> Any:
        items = [value] if isinstance(value, str | Paint) else value
        paints = members(items, Paint, str)
        if not paints:
            raise self.wrong("values.error.no_pot", key, value)
        return tuple(Paint(pot=paint) if isinstance(paint, str) else paint for paint in paints)

    def read(self, raw: Any, key: str) -> Any:
        if not isinstance(raw, list):
            return (self._paint(raw, key),)
        paints = [self._paint(each, f"{key} {number}") for number, each in enumerate(raw, start=1)]
        return self.check(paints or raw, key)

    def _paint(self, raw: Any, key: str) -> Paint:
        if not isinstance(raw, str | dict):
            example = toml_line("dye", {"pot": "navy", "where": "sky.png"})
            raise self.wrong("values.error.needs_pot", key, raw, example=example)
        with placed(key):
            return Paint(pot=raw) if isinstance(raw, str) else read(Paint, raw)

    def advice(self, key: str) -> Message:
        return super().advice("dye")

    def write(self, value: Any) -> Any:
        paints = [paint.written() for paint in value]
        return paints[0] if len(paints) == 1 else paints

    def schema(self) -> dict[str, Any]:
        paint = {"anyOf": [{"type": "string", "pattern": r"\S"}, schema_of(Paint)]}
        return {"anyOf": [*paint["anyOf"], {"type": "array", "items": paint, "minItems": 1}]}


@documented
@dataclass(frozen=True, kw_only=True)
class DyeBath(Value):
    """One dyeing: any number of pots, all onto the cloth as the step before left it.

    Parameters
    ----------
    pot : str, optional
        Instead of `paints`: the only pot.
    where : MaskUse or path-like, optional
        With `pot`: where it is brushed on; the whole cloth where left out.
    spread : bool, default False
        With `pot`: whether it creeps through open fibre to the wax edge.
    reach_mm : float, optional
        With `pot`: how far it creeps.

    Notes
    -----
    Pots are brushed on in their order. Where two lie on one spot it takes from both, and their order makes no
    difference until the fibre nears its fill: then the later takes less.

    Examples
    --------
    >>> from batiksim import DyeBath, Paint
    >>> DyeBath(pot="navy") == DyeBath(paints="navy") == DyeBath(paints=[Paint(pot="navy")])
    True
    >>> DyeBath(pot="navy", where="sky.png") == DyeBath(paints=[Paint(pot="navy", where="sky.png")])
    True
    """

    KIND = "dye_bath"

    paints: tuple[Paint, ...] = field(
        metadata=setting(
            Paints(
                key="dye",
                example="navy",
                help="The pot over the whole cloth, or the pots that are brushed on, each with its picture.",
            )
        )
    )
    note: str = field(default="", metadata=_NOTE)

    def __init__(
        self,
        *,
        paints: str | Paint | Iterable[str | Paint] | None = None,
        note: str = "",
        pot: str | None = None,
        where: Picture | None = None,
        spread: bool = False,
        reach_mm: float | None = None,
    ) -> None:
        if pot is not None:
            if paints is not None:
                raise TypeError("DyeBath takes either paints or pot")
            paints = Paint(pot=pot, where=where, spread=spread, reach_mm=reach_mm)
        elif where is not None or spread or reach_mm is not None:
            raise TypeError("DyeBath takes where, spread and reach_mm with pot; in paints, each Paint has its own")
        self._keep({"paints": () if paints is None else paints, "note": note})


@documented
@dataclass(frozen=True, kw_only=True)
class Discharge(Value):
    """Bleaching: open fibre loses `strength` of the dye it holds, where the mask says or everywhere.

    Examples
    --------
    >>> from batiksim import Discharge
    >>> Discharge(where="bleach.png", strength=0.8).where.picture
    'bleach.png'
    """

    KIND = "discharge"

    where: MaskUse | None = field(
        default=None,
        metadata=setting(
            Mask(
                key="discharge",
                everywhere=True,
                stated=True,
                example="bleach.png",
                help="The picture that says where you bleach, or true for the whole cloth.",
                python="The picture that says where you bleach; the whole cloth where left out.",
            )
        ),
    )
    strength: float = field(default=1.0, metadata=share("Share of the dye in open cloth that comes out.", 0.8))
    note: str = field(default="", metadata=_NOTE)

    def __init__(self, *, where: Picture | None = None, strength: float = 1.0, note: str = "") -> None:
        self._keep(locals())

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        return needs_picture("discharge")


@documented
@dataclass(frozen=True, kw_only=True)
class RemoveWax(Value):
    """All wax comes out.

    Examples
    --------
    >>> from batiksim import RemoveWax
    >>> RemoveWax().remove_wax
    True
    """

    KIND = "remove_wax"

    remove_wax: bool = field(
        default=True, metadata=flag("Take all wax out here; otherwise it comes off at the end.", only=True, stated=True)
    )
    note: str = field(default="", metadata=_NOTE)


Step = Wax | DyeBath | Discharge | RemoveWax
StepKind = Literal["wax", "dye", "discharge", "remove_wax"]


@dataclass(frozen=True, kw_only=True)
class Steps(Tables):
    """The steps of a design, each of the kind that one of its keys says."""

    of: type[Value] = Wax
    KINDS: ClassVar[Mapping[StepKind, type[Step]]] = {
        "wax": Wax, "dye": DyeBath, "discharge": Discharge, "remove_wax": RemoveWax
    }  # fmt: skip

    @property
    def kinds(self) -> tuple[type[Value], ...]:
        return tuple(self.KINDS.values())

    def read_each(self, entries: Entries) -> Value:
        kinds = [kind for kind in self.KINDS if kind in entries]
        if kinds == ["dye"]:
            _check_no_pot_keys(entries)
        if len(kinds) == 1:
            return read(self.KINDS[kinds[0]], entries)
        if entries and not kinds:
            other = next(iter(entries))
            raise BatikError("values.error.no_kind_of_step", got=other, fix=nearest(other, self.KINDS))
        raise BatikError("values.error.one_kind_of_step", got=keys_found(kinds))

    def each_schema(self) -> dict[str, Any]:
        return {"oneOf": [schema_of(kind) for kind in self.KINDS.values()]}


def _check_no_pot_keys(entries: Entries) -> None:
    """Say where the keys of one pot belong, a likely slip that the list of a step's keys alone wouldn't explain."""
    stray = next((key for key in entries if key in ("where", "spread", *_BESIDE)), None)
    if stray is not None:
        more = {} if stray == "where" else {stray: entries[stray]}
        example = toml_line("dye", {"pot": "navy", "where": "sky.png", **more})
        raise BatikError("values.error.of_a_pot", got=stray, example=example)
