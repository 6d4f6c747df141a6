"""Values as good citizens of Python: any real number and path taken; hashed, compared, copied, pickled and so on."""

from __future__ import annotations

import copy
import dataclasses
import datetime
import inspect
import json
import multiprocessing
import os
import pickle
import re
from collections import UserDict
from concurrent.futures import ProcessPoolExecutor
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from pathlib import Path, PurePosixPath

import numpy as np
import pytest

from batiksim import values
from batiksim.changes.remedy import DesignRemedy
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values import (
    BookDye,
    BuildUp,
    Cloth,
    Design,
    Discharge,
    Dye,
    DyeBath,
    DyeBook,
    Finding,
    MaskUse,
    Paint,
    Patch,
    Place,
    Pot,
    Price,
    PriceList,
    Region,
    RemoveWax,
    Strip,
    Swatch,
    Undyed,
    Want,
    Wax,
)
from batiksim.values.frozen import FrozenDict
from batiksim.values.plain_data import plain_data
from batiksim.values.strip_file import StripCard, StripPatch, StripPhoto

SUN, SEA = Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#1aa7b8", build_up=BuildUp(law="power", bend=0.8))
REGION = Region(
    share=0.5, history=("straw",), loads={"sun": 0.5}, hex="#f0d92e", lab=(85.0, -5.0, 70.0), name="vivid yellow",
    plain="yellow", reflectance=(0.5,) * 31,
)  # fmt: skip
REMEDY = DesignRemedy(words=say("checks.wasted.leave_out"), changes=({"do": "remove_step", "step": 1},))
FINDING = Finding(
    code="leak", severity="warn", step=2, place=Place(x_mm=1.0, y_mm=2.0, radius_mm=3.0),
    message=say("settings.error.and", first=say("error.no_choices"), then=("sun", 2.5)),
    remedy=say("checks.wasted.leave_out"), pots=("sun",), numbers={"gap_mm": np.float32(1.5)}, remedies=(REMEDY,),
)  # fmt: skip
DESIGN = Design(
    title="Tide", maker="Ada", note="For two\nafternoons.", cloth=Cloth(width_mm=450, surface=0.02), dyes=[SUN, SEA],
    pots=[Pot(name="straw", parts={"sun": 1, "sea": 3}, ml=100, drops={"sea": 6})],
    steps=[
        Wax(mask="masks/petals.png", crackle=0.3, tool="brush", seed=7),
        DyeBath(paints=["straw", Paint(pot="sea", where="sky.png", spread=True, reach_mm=3)]),
        Discharge(where="bleach.png", strength=0.8), RemoveWax(note="warm it"),
    ],
    wants=[Want(colour="#112233", at_mm=[10, 20]), Want(colour="strong yellow", where="leaves.png")],
    skip_checks=["fit", "mud"],
)  # fmt: skip
SAMPLES = [(400, 0.1), (500, 0.3), (600, 0.6), (700, 0.8)]
ENTRY = BookDye(name="sun", samples=SAMPLES, seen_on=Undyed(note="poplin"), date=datetime.date(2026, 11, 25))
STRIPS = Patch(name="p", layers=(("sun", 0.5),), at=(0, 0, 0.5, 0.5))
INSTANCES = [
    *(DESIGN, DESIGN.cloth, SUN, SEA, SEA.build_up, *DESIGN.pots, *DESIGN.steps, *DESIGN.steps[1].paints),
    *(DESIGN.steps[0].mask, *DESIGN.wants, ENTRY, ENTRY.seen_on, DyeBook(name="b", title="b", entries=[ENTRY])),
    *(FINDING, REMEDY, FINDING.place, REGION, STRIPS, Strip(title="s", corners=((0, 0),) * 4, patches=(STRIPS,))),
    *(Swatch(name="w", samples=SAMPLES), Price(name="urea", pack="500 g", price=3), PriceList(currency="EUR")),
]  # fmt: skip
VALUES = [one for one in vars(values).values() if isinstance(one, type) and dataclasses.is_dataclass(one)]


# Numbers


REALS = (int, float, np.int64, np.int32, np.uint16, np.float32, np.float64, np.longdouble, np.array, Fraction)


@pytest.mark.parametrize("number", [kind(300) for kind in REALS], ids=lambda number: type(number).__name__)
def test_any_real_number_is_taken_and_kept_as_a_plain_one(number):
    tenth = number / 3000
    kept = [
        Cloth(width_mm=number).width_mm,
        Pot(name="p", parts={"a": number}, drops={"a": number}, ml=number).parts["a"],
        Want(colour="#112233", at_mm=(number, number)).at_mm[1],
        Want(colour="#112233", at_mm=np.array([number, number], dtype=float)).at_mm[0],
        BookDye(name="a", samples=[(number, tenth), *SAMPLES]).samples[0][0],
        Wax(mask="a.png", seed=number).seed,
        StripCard(reflectance=tenth, at=[number] * 4).at[2],
        StripPhoto(corners=[[number, number]] * 4).corners[3][1],
    ]
    assert kept == [300] * 8
    assert [type(one) for one in kept] == [float, float, float, float, float, int, float, float]
    others = [
        Paint(pot="p", where="a.png", spread=True, reach_mm=tenth).reach_mm,
        StripPatch(dyes={"a": tenth}).dyes["a"],
        BuildUp(law="power", bend=tenth).bend,
        Patch(name="p", layers=[["a", tenth]], at=[tenth] * 4, card=tenth).at[0],
        Patch(name="p", layers=[["a", tenth]], at=[tenth] * 4, card=tenth).layers[0][1],
        Patch(name="p", at=[tenth] * 4, card=tenth).card,
        Swatch(name="s", lab=[tenth] * 3).lab[1],
        Swatch(name="s", samples=[[number, tenth], *SAMPLES]).samples[0][1],
    ]
    assert others == pytest.approx([0.1] * 8)
    assert {type(one) for one in others} == {float}


NO_NUMBERS = {
    "'true'": (True, np.True_), "300j": (300j,), "'300'": ("300",), "Decimal('300')": (Decimal(300),),
    "array([300])": (np.array([300]),), "1970-01-01 00:05:00": (np.datetime64(300, "s"),), "; write": (None,),
}  # fmt: skip


@pytest.mark.parametrize(
    ("shown", "wrong"), [(shown, wrong) for shown, several in NO_NUMBERS.items() for wrong in several]
)
def test_what_is_no_number_is_refused_in_words_that_tell_it_from_one(shown, wrong):
    for make in (
        lambda: Cloth(width_mm=wrong),
        lambda: Pot(name="p", parts={"a": wrong}),
        lambda: BuildUp(law="power", bend=wrong),
    ):
        with pytest.raises(BatikError, match=f"needs a number.*{re.escape(shown)}"):
            make()
    for make in (
        lambda: Want(colour="#112233", at_mm=(wrong, 1)),
        lambda: BookDye(name="a", samples=[(350, wrong), *SAMPLES]),
        lambda: StripPhoto(corners=[(wrong, 1)] * 4),
    ):
        with pytest.raises(BatikError, match="needs"):
            make()


def test_a_number_that_is_far_too_large_is_called_out_of_range():
    for far in (1e305, 10**400, Fraction(10**400), -(10**400)):
        with pytest.raises(BatikError, match="width_mm: out of range"):
            Cloth(width_mm=far)
    for endless in (float("inf"), np.nan, np.float32("-inf")):
        with pytest.raises(BatikError, match="width_mm: needs a number"):
            Cloth(width_mm=endless)


def test_words_and_flags_of_numpy_are_kept_as_plain_ones():
    use = MaskUse(picture=np.str_("a.png"), marks=np.str_("dark"), clean=np.True_)
    assert [type(held) for held in (use.picture, use.marks, use.clean)] == [str, str, bool]
    usual = Wax(mask=MaskUse(picture="a.png", clean=np.False_), note=np.str_(""))  # as they are when left out
    assert [type(held) for held in (usual.mask.clean, usual.note)] == [bool, str]


class Named(str, Enum):  # noqa: UP042 -- as they are written that are older than StrEnum
    NAVY = "navy"


def test_a_member_of_an_enum_of_words_is_its_word():
    design = Design(
        title=Named.NAVY,
        cloth=Cloth(width_mm=100),
        dyes=[Dye(name=Named.NAVY, colour="#1d2b53")],
        pots=[Pot(name="pool", parts={Named.NAVY: 1})],
        skip_checks=[Named.NAVY],
    )
    words = (design.title, design.dyes[0].name, *design.pots[0].parts, *design.skip_checks)
    assert [(type(word), word) for word in words] == [(str, "navy")] * 4


@pytest.mark.parametrize(
    "make",
    [
        lambda samples: Dye(name="a", samples=samples),
        lambda samples: Dye(name="a", book="mine.toml", samples=samples),
        lambda samples: Dye(name="a", spectrum="a.csv", samples=samples),
        lambda samples: BookDye(name="a", samples=samples),
        lambda samples: Swatch(name="a", samples=samples),
    ],
)
def test_every_value_asks_the_same_of_a_measured_reflectance(make):
    whole = [(400, 0.1), (500, 0.2), (600, 0.5), (700, 1.02)]
    assert make(whole).samples == ((400, 0.1), (500, 0.2), (600, 0.5), (700, 1.0))
    for wrong, told in (
        (whole[:3], "four wavelengths"),
        ([(500 + nm, value) for nm, value in whole], "900"),
        (whole[::-1], "rise|order"),
        ([(nm, 100 * value) for nm, value in whole], "reflectance"),
    ):
        with pytest.raises(BatikError, match=told):
            make(wrong)


# Paths


class Somewhere:
    def __fspath__(self) -> str:
        return os.path.join("masks", "a.png")


@pytest.mark.parametrize("path", [Path("masks/a.png"), PurePosixPath("masks/a.png"), Somewhere(), "masks/a.png"])
def test_any_path_is_taken_where_a_file_is_named(path):
    assert {
        MaskUse(picture=path).picture, Wax(mask=path).mask.picture, Paint(pot="p", where=path).where.picture,
        Discharge(where=path).where.picture, Want(where=path, colour="#112233").where.picture,
        Dye(name="d", spectrum=path).spectrum, Dye(name="d", book=path).book, BookDye(name="d", spectrum=path).spectrum,
        DyeBath(pot="p", where=path).paints[0].where.picture,
    } == {"masks/a.png"}  # fmt: skip


# Mappings


def test_a_frozen_dict_never_changes():
    frozen = FrozenDict({"a": 1.0, "b": 2.0})
    for change in (
        lambda: frozen.__setitem__("a", 3),
        lambda: frozen.__delitem__("a"),
        lambda: frozen.update(a=3),
        lambda: frozen.setdefault("c", 3),
        lambda: frozen.pop("a"),
        frozen.popitem,
        frozen.clear,
        lambda: frozen.__ior__({"a": 3}),
    ):
        with pytest.raises(TypeError, match="never changes"):
            change()
    assert frozen == {"b": 2.0, "a": 1.0}
    assert json.dumps(frozen) == '{"a": 1.0, "b": 2.0}'
    assert repr(frozen) == "{'a': 1.0, 'b': 2.0}"
    assert hash(frozen) == hash(FrozenDict(b=2.0, a=1.0))
    assert type(frozen | {"c": 3.0}) is dict
    for again in (copy.copy(frozen), copy.deepcopy(frozen), pickle.loads(pickle.dumps(frozen))):
        assert (again, type(again)) == (frozen, FrozenDict)
    with pytest.raises(TypeError, match="unhashable"):
        hash(FrozenDict(a=[]))


def test_amounts_are_taken_from_any_mapping():
    assert Pot(name="p", parts=UserDict({"sun": 1})).parts == {"sun": 1.0}


# All values


def test_there_is_one_of_every_public_value():
    assert all(any(isinstance(one, kind) for one in INSTANCES) for kind in VALUES)


@pytest.mark.parametrize("one", INSTANCES, ids=lambda one: type(one).__name__)
def test_every_value_is_hashed_compared_copied_pickled_and_taken_apart(one):
    for again in (copy.copy(one), copy.deepcopy(one), pickle.loads(pickle.dumps(one)), dataclasses.replace(one)):
        assert again == one
        assert hash(again) == hash(one)
        assert type(again) is type(one)
    assert set(dataclasses.asdict(one)) == {field.name for field in dataclasses.fields(one)}
    assert json.loads(json.dumps(plain_data(one)))


def test_a_regions_reflectance_is_no_part_of_its_data():
    assert "reflectance" not in plain_data(REGION)
    assert REGION.reflectance == (0.5,) * 31
    with pytest.raises(TypeError, match="never changes"):
        REGION.loads["sun"] = 1.0


@pytest.mark.parametrize("kind", VALUES, ids=lambda kind: kind.__name__)
def test_what_a_value_is_made_with_is_what_it_keeps(kind):
    """An `__init__` written out has every field, in order, with the field's own default."""
    given = inspect.signature(kind).parameters
    kept = {field.name: field for field in dataclasses.fields(kind) if field.init}
    assert [name for name in given if name in kept] == list(kept)
    for name, field in kept.items():
        default = inspect.Parameter.empty if field.default is dataclasses.MISSING else field.default
        if field.default_factory is not dataclasses.MISSING:
            continue
        assert given[name].default == default or kind is DyeBath, name


# Errors and messages


class Odd:
    """Something that was found and can't be pickled."""

    def __repr__(self) -> str:
        return "something odd"

    def __reduce__(self):
        raise TypeError("not to be pickled")


def gone_wrong(got: object) -> None:
    error = BatikError("files.error.gap", gap=25.0, after=400, got=got).in_field("spectrum")
    error.add_note("seen by moonlight")
    raise error.in_field(say("files.line", number=3)).in_file("tide.toml")


def odd() -> None:
    gone_wrong(Odd())


def told(error: BatikError) -> tuple[object, ...]:
    return str(error), error.file, error.fields, error.problem, error.fix, error.clause


@pytest.mark.parametrize("got", [None, 3, "word", Path("a.toml"), Odd()], ids=str)
def test_an_error_is_copied_and_pickled_whole(got):
    with pytest.raises(BatikError) as caught:
        gone_wrong(got)
    error = caught.value
    for again in (pickle.loads(pickle.dumps(error)), copy.copy(error), copy.deepcopy(error)):
        assert told(again) == told(error)
        assert again.in_file("b.toml") is again


def test_an_error_arrives_whole_from_another_process():
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        there = pool.submit(odd).exception()
    with pytest.raises(BatikError) as here:
        odd()
    assert told(there) == told(here.value)
    assert str(there).startswith("tide.toml: line 3: spectrum: ")


def test_an_error_is_a_value_error():
    with pytest.raises(ValueError, match="width_mm"):
        Cloth(width_mm=0)


@pytest.mark.parametrize("message", [FINDING.message, FINDING.remedy])
def test_a_message_is_hashed_and_pickled_with_its_parts(message):
    again = pickle.loads(pickle.dumps(message))
    assert (again, hash(again), str(again), again.values) == (message, hash(message), str(message), message.values)
