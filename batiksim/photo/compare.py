"""The dyed cloth beside the plan: which regions came out otherwise, how, and what a calibration can learn from them.

The photo's uneven light is worked out from the regions themselves (all spots of one region were dyed alike);
exposure and colour cast from the bare cloth the design leaves, or else from all regions together; a note says which.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from operator import attrgetter

import numpy as np

from batiksim.cloth.outcome import History, Outcome
from batiksim.cloth.program import DISCHARGE
from batiksim.colour import names, spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError
from batiksim.photo.homography import warp
from batiksim.photo.illumination import LightField, light_field
from batiksim.photo.registration import Registration
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bools, Bytes, Floats, Ints, triple
from batiksim.values import Layers, Swatch
from batiksim.values.plain_data import LEFT_OUT, as_data

LEAST_SHARE = 0.003  # regions smaller than this are left out
LEAST_PIXELS = 30  # of a region's middle
EVEN = 0.5  # level of a paint mask below which a region is too thinly brushed to learn from
WASHED = 253  # of 255: from here on a channel of the photo is of no use
SPOTS = 2500
AS_PLANNED = 2.0  # CIEDE2000 up to which nobody would call it another colour; common practice, no source
# Mean CIEDE2000 of a whole cloth in words; common practice, no source.
CLOSENESS = ((2.0, "very_close"), (5.0, "close"), (10.0, "different"), (float("inf"), "far"))
NEARLY_ONE = 6.0  # CIEDE2000 that a planned colour may vary inside a region that is to teach


@dataclass(frozen=True, kw_only=True)
class Difference:
    """One region of the cloth, planned and dyed.

    number : from 1, what differs most over much of the cloth first
    place : (x, y), shares of the cloth, of a spot well inside it
    share : of the cloth; history : what it took, in order
    planned, dyed : "#rrggbb"; labs : CIELAB of both; miss : CIEDE2000; turned : how dyed differs from planned, in words
    layers : what it was dyed with, where a calibration can learn from it; None where not
    """

    number: int
    place: tuple[float, float] = field(metadata=as_data(places=4))
    share: float = field(metadata=as_data(places=5))
    history: tuple[str, ...]
    planned: str
    dyed: str
    labs: tuple[tuple[float, float, float], tuple[float, float, float]] = field(metadata=LEFT_OUT)
    miss: float = field(metadata=as_data("difference", places=2))
    turned: str | Message = field(metadata=LEFT_OUT)
    layers: Layers | None = field(metadata=LEFT_OUT)

    DATA = ("planned_name", "dyed_name", "words")

    @property
    def planned_name(self) -> str:
        """What the planned colour is called."""
        return names.colour_name(np.array(self.labs[0])).name

    @property
    def dyed_name(self) -> str:
        """What the dyed colour is called."""
        return names.colour_name(np.array(self.labs[1])).name

    @property
    def words(self) -> Message:
        """How it came out: "as planned", "a little greener than planned"."""
        if self.miss < AS_PLANNED:
            return say("photo.region.as_planned")
        return say("photo.region.than_planned", difference=self.turned)


@dataclass(frozen=True, eq=False, kw_only=True)
class Comparison:
    """A finished cloth beside its prediction.

    dyed : the photo laid over the plan, light, exposure and cast undone; sRGB uint8 (rows, cols, 3)
    misses : CIEDE2000 of each pixel (rows, cols), nan where the photo doesn't reach
    overall : mean CIEDE2000 over the regions, by area
    """

    dyed: Bytes = field(metadata=LEFT_OUT)
    misses: Floats = field(metadata=LEFT_OUT)
    regions: tuple[Difference, ...]
    overall: float = field(metadata=as_data(places=2))
    registration: Registration = field(metadata=as_data("agreement", places=3, make=attrgetter("agreement")))
    notes: tuple[Message, ...]

    @property
    def summary(self) -> Message:
        """The whole comparison in a line."""
        off = [region for region in self.regions if region.miss >= AS_PLANNED]
        share = sum(region.share for region in off) / sum(region.share for region in self.regions)
        if not off:
            return say("photo.summary.as_planned")
        closeness = say(f"photo.closeness.{next(word for most, word in CLOSENESS if self.overall < most)}")
        return say("photo.summary.differs", count=len(off), share=percent(share), overall=closeness)

    @property
    def teachable(self) -> tuple[Swatch, ...]:
        """Swatches for `calibrate --table`: bare cloth, and regions whose dyes each also lie somewhere alone."""
        known = [(region, region.layers) for region in self.regions if region.layers is not None]
        alone = {layers[0][0] for _, layers in known if len(layers) == 1}
        if not alone or all(layers for _, layers in known):
            return ()
        return tuple(
            Swatch(name=str(say("photo.region.name", number=region.number)), layers=layers, lab=region.labs[1])
            for region, layers in known
            if all(dye in alone for dye, _ in layers)
        )


def compare(outcome: Outcome, masks: Bytes, planned: Bytes, photo: Bytes, registration: Registration) -> Comparison:
    """Compare a photo with the finished plate.

    masks : uint8 (masks, rows, cols), of the outcome
    planned : the finished plate, sRGB uint8 (rows, cols, 3), of the same size
    photo : sRGB uint8 (rows, cols, 3); registration : from pixels of `planned` to pixels of the photo
    errors : BatikError when too little of the cloth is in the photo
    """
    labels, histories = outcome.labels(masks), outcome.histories
    plan = spaces.decode_srgb(planned / 255.0)
    seen, washed = _laid_over(photo, registration.matrix, (labels.shape[0], labels.shape[1]))
    cores = _cores(labels, histories, np.isfinite(seen).all(axis=-1) & ~washed)
    if not cores:
        raise BatikError("photo.error.too_little_cloth")
    light = _light(cores, plan, seen)
    y, x = np.mgrid[0 : labels.shape[0], 0 : labels.shape[1]].astype(np.float64)
    seen = seen / light.at(np.stack([x, y], axis=-1))
    undo, note = _cast_undone(cores, histories, plan, seen)
    seen = np.clip(seen @ undo, 0, 1)
    regions = _differences(outcome, cores, plan, seen)
    overall = float(np.average([region.miss for region in regions], weights=[region.share for region in regions]))
    by = "corners" if registration.how == "corners" else "pattern"
    notes = (
        say(f"photo.note.matched_by_{by}", agreement=percent(registration.agreement, whole=True)),
        say("photo.note.light_evened", uneven=percent(light.uneven)),
        note,
    )
    dyed = np.rint(255 * spaces.encode_srgb(np.nan_to_num(seen, nan=0.9))).astype(np.uint8)
    misses = _misses(plan, seen)
    return Comparison(
        dyed=dyed, misses=misses, regions=regions, overall=overall, registration=registration, notes=notes
    )


def _laid_over(photo: Bytes, matrix: Floats, shape: tuple[int, int]) -> tuple[Floats, Bools]:
    """The photo in linear light over the plan's pixels (*shape, 3), nan outside it, and where it is washed out."""
    linear = spaces.decode_srgb(np.arange(256) / 255.0).astype(np.float32)
    brightest = photo.max(axis=-1, keepdims=True).astype(np.float32)
    washed = np.nan_to_num(warp(brightest, matrix, shape)[..., 0]) >= WASHED
    return warp(linear[photo], matrix, shape), washed


def _cores(labels: Ints, histories: Sequence[History], usable: Bools) -> dict[int, Bools]:
    """The middle of each region that is large enough, away from its edges."""
    from scipy.ndimage import binary_erosion, distance_transform_edt

    cores = {}
    for number, history in enumerate(histories):
        if history.mixed or history.pixels < LEAST_SHARE * labels.size:
            continue
        mine = (labels == number) & usable
        depth = distance_transform_edt(labels == number)
        core = binary_erosion(mine, iterations=1) & (depth >= min(5.0, 0.6 * float(depth.max())))
        if core.sum() >= LEAST_PIXELS:
            cores[number] = core
    return cores


def _light(cores: dict[int, Bools], plan: Floats, seen: Floats) -> LightField:
    """The light over the photo, from spots all over each region."""
    rng = np.random.default_rng(0)
    total = sum(int(core.sum()) for core in cores.values())
    places, ratios, groups = [], [], []
    for number, core in cores.items():
        rows, cols = np.nonzero(core)
        count = min(len(rows), max(20, round(SPOTS * len(rows) / total)))
        chosen = rng.choice(len(rows), count, replace=False)
        places.append(np.stack([cols[chosen], rows[chosen]], axis=1))
        pixels = rows[chosen], cols[chosen]
        ratios.append(np.maximum(seen[pixels], 2e-3) / np.maximum(plan[pixels], 2e-3))
        groups.append(np.full(count, number, np.int64))
    spots = np.concatenate(places).astype(np.float64)
    noise = np.full(len(spots), 0.3)
    return light_field(spots, np.concatenate(ratios), np.concatenate(groups), noise=noise)


def _cast_undone(
    cores: dict[int, Bools], histories: Sequence[History], plan: Floats, seen: Floats
) -> tuple[Floats, Message]:
    """What undoes exposure and cast as an eye does (Bradford), (3, 3): linear sRGB @ it; and a note on its basis."""
    bare = [number for number in cores if not histories[number].reached]
    reference = bare[:1] or list(cores)
    sizes = np.sqrt([cores[number].sum() for number in reference])

    def mean_xyz(picture: Floats) -> Floats:
        logs = [np.log(np.maximum(np.median(picture[cores[number]], axis=0), 1e-4)) for number in reference]
        return spaces.linear_srgb_to_xyz(np.exp(np.average(logs, axis=0, weights=sizes)))

    shown, meant = mean_xyz(seen), mean_xyz(plan)
    undo = spaces.xyz_to_linear_srgb(spaces.adapt(spaces.linear_srgb_to_xyz(np.eye(3)), shown, meant))
    return undo, say(f"photo.note.cast_by_{'bare_cloth' if bare else 'plan'}")


def _differences(outcome: Outcome, cores: dict[int, Bools], plan: Floats, seen: Floats) -> tuple[Difference, ...]:
    regions = []
    for number, core in cores.items():
        both = [spaces.linear_srgb_to_xyz(np.median(picture[core], axis=0)) for picture in (plan, seen)]
        labs = [spaces.xyz_to_lab(xyz) for xyz in both]
        miss = float(delta_e_2000(labs[0], labs[1]))
        history = outcome.histories[number]
        regions.append(
            Difference(
                number=0,
                place=_inner_spot(core),
                share=outcome.share(history),
                history=outcome.story(history),
                planned=xyz_to_hex(both[0]),
                dyed=xyz_to_hex(both[1]),
                labs=(triple(labs[0]), triple(labs[1])),
                miss=miss,
                turned=difference_words(*labs),
                layers=_layers(outcome, history) if _one_colour(plan[core]) else None,
            )
        )
    regions.sort(key=lambda region: -region.miss * region.share**0.5)
    return tuple(replace(region, number=number) for number, region in enumerate(regions, start=1))


def _one_colour(linear: Floats) -> bool:
    """Whether a region's planned colour hardly varies."""
    lab = spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(linear[:: max(1, len(linear) // 500)]))
    return float(np.percentile(delta_e_2000(lab, np.median(lab, axis=0)), 80)) < NEARLY_ONE


def _inner_spot(core: Bools) -> tuple[float, float]:
    from scipy.ndimage import distance_transform_edt

    depth = distance_transform_edt(np.pad(core, 1))[1:-1, 1:-1]
    row, col = np.unravel_index(int(np.argmax(depth)), core.shape)
    return (float(col) + 0.5) / core.shape[1], (float(row) + 0.5) / core.shape[0]


def _layers(outcome: Outcome, history: History) -> Layers | None:
    """What a region was dyed with, dye by dye; None after a discharge or where a pot was brushed thinly."""
    layers: list[tuple[str, float]] = []
    for op in history.reached:
        amount = outcome.amount(history, op)
        if outcome.program.ops[op, 0] == DISCHARGE or amount < EVEN:
            return None
        strengths = outcome.design.pot(outcome.pot_of(op)).loads()
        layers += [(dye, full * amount) for dye, full in strengths.items() if full > 0]
    return tuple((dye, round(strength, 3)) for dye, strength in layers)


def _misses(plan: Floats, seen: Floats) -> Floats:
    """CIEDE2000 of each pixel; thin lines, where the photo lies a hair off, are left out."""
    from scipy.ndimage import gaussian_filter, grey_erosion

    inside = np.isfinite(seen).all(axis=-1)
    soft = [gaussian_filter(np.nan_to_num(picture), (1.0, 1.0, 0)) for picture in (plan, seen)]
    labs = [spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(picture)) for picture in soft]
    misses = grey_erosion(delta_e_2000(labs[0], labs[1]), size=(5, 5))
    return np.where(inside, gaussian_filter(misses, 1.5), np.nan)
