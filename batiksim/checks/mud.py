"""Mud: overlaps that turn brown, olive or grey though the dyes are clear, and what would help, each tried out first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from batiksim.checks.remedies.candidates import Spoilt, colours, remedies
from batiksim.checks.remedies.trial import trial
from batiksim.checks.remedies.wishes import asked_for
from batiksim.checks.scene.scene import Scene, colour_words
from batiksim.cloth.outcome import History
from batiksim.cloth.program import DYE
from batiksim.dyes.mud import DEFAULT_RULE, MudRule, is_mud
from batiksim.texts.phrases import percent
from batiksim.values import Design, Finding

__all__ = ["Mud", "mud", "mud_share", "overlaps"]


@dataclass(frozen=True, kw_only=True)
class Mud:
    """Which muddy overlaps are worth a word, by share of the cloth. Assumptions.

    least_share : anything smaller is an edge; warn_share, serious_share : from there on it is worse
    cured : a remedy must leave at most this part of the mud
    margin : dull colours reach so much farther into chroma than in the rule for single colours: washes are uneven, and
        a region is judged at its mean depth
    """

    least_share: float = 0.003
    warn_share: float = 0.01
    serious_share: float = 0.1
    cured: float = 0.2
    margin: float = 1.12

    @property
    def rule(self) -> MudRule:
        """The rule for mud with its margin; parents count as clear as before."""
        wider = tuple((hue, chroma * self.margin) for hue, chroma in DEFAULT_RULE.dull_chroma)
        return replace(DEFAULT_RULE, dull_chroma=wider, parent_share=DEFAULT_RULE.parent_share / self.margin)


def mud(scene: Scene, settings: Mud) -> Iterator[Finding]:
    """Every muddy region of the finished cloth, joined where the same dyeing spoilt the same colour."""
    groups: dict[tuple[int, str], list[Spoilt]] = {}
    for overlap in overlaps(scene, settings.rule):
        earlier = " + ".join(scene.op_pot(o) for o in overlap.history.reached if o < overlap.o)
        groups.setdefault((overlap.o, earlier), []).append(overlap)
    for (o, earlier), spoilt in groups.items():
        share = sum(scene.share(one.history) for one in spoilt)
        if share >= settings.least_share:
            yield _finding(scene, settings, scene.op_pot(o), earlier, spoilt[0], share)


def mud_share(scene: Scene, rule: MudRule) -> float:
    """The part of the finished cloth that is mud, 0..1."""
    return sum(scene.share(overlap.history) for overlap in overlaps(scene, rule))


def overlaps(scene: Scene, rule: MudRule) -> list[Spoilt]:
    """Every muddy region of the finished cloth but those whose colour the design asks for."""
    found = []
    for history in scene.histories:
        dyeings = [o for o in history.reached if scene.program.ops[o, 0] == DYE]
        if len(dyeings) < 2 or not _muddy(scene, history, dyeings, rule) or asked_for(scene, history):
            continue
        # the dyeing that turned it: the first with which it is mud
        count = next(n for n in range(2, len(dyeings) + 1) if _muddy(scene, history, dyeings[:n], rule))
        o = dyeings[count - 1]
        before, after = scene.lab(history, before=o), scene.lab(history)
        found.append(Spoilt(history=history, o=o, before=before, after=after))
    return found


def _muddy(scene: Scene, history: History, dyeings: list[int], rule: MudRule) -> bool:
    """Whether these dyeings, and the discharges up to the last of them, leave mud."""
    later = set(history.reached) - set(dyeings) if dyeings[-1] == max(history.reached) else set()
    upto = [o for o in history.reached if o <= dyeings[-1] or o in later]
    parents = np.stack([scene.alone(history, o) for o in dyeings])
    return is_mud(scene.lab(replace(history, reached=tuple(upto))), parents, rule=rule)


def _finding(scene: Scene, settings: Mud, pot: str, earlier: str, overlap: Spoilt, share: float) -> Finding:
    was, now = colour_words(overlap.before), colour_words(overlap.after)
    worst = "serious" if share >= settings.serious_share else "warn" if share >= settings.warn_share else "note"
    return Finding(
        code="mud",
        severity=worst,  # type: ignore[arg-type]
        step=scene.op_step(overlap.o),
        place=scene.region_place(overlap.history),
        message=f"{pot} over {earlier} goes muddy: {was} turns to {now} on {percent(share)} of the cloth.",
        remedy=_remedies(scene, settings, overlap),
    )


def _remedies(scene: Scene, settings: Mud, overlap: Spoilt) -> str:
    was = sum(scene.share(one.history) for one in overlaps(scene, settings.rule))

    def cured(design: Design) -> bool:
        """Whether hardly any of the mud is left, and no fewer colours."""
        after = trial(scene, design)
        return mud_share(after, settings.rule) <= settings.cured * was and colours(after) >= colours(scene)

    return remedies(scene, overlap, rule=settings.rule, cured=cured)
