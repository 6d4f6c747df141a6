"""Of the frames asked for in one place only the newest is made."""

from __future__ import annotations

import pytest

from batiksim.worktable import session
from batiksim.worktable.session import LatestOnly, Superseded


def test_only_the_newest_number_of_a_place_is_worth_making():
    latest = LatestOnly()
    latest.check("page", "place", 5)  # nothing was asked for
    latest.ask("page", "place", 3)
    latest.check("page", "place", 3)
    latest.check("page", "place", 4)
    latest.ask("page", "place", 7)
    latest.ask("page", "place", 5)  # it comes late
    latest.check("page", "place", 7)
    for number in (3, 5, 6):
        with pytest.raises(Superseded):
            latest.check("page", "place", number)
    latest.check("page", "other", 3)
    latest.check("other", "place", 3)


def test_the_place_asked_for_longest_ago_is_forgotten(monkeypatch):
    monkeypatch.setattr(session, "MOST_PLACES", 3)
    latest = LatestOnly()
    for place in "abca":
        latest.ask("page", place, 9)  # a is asked for again: b is the oldest now
    latest.ask("page", "d", 9)
    latest.check("page", "b", 1)
    for place in "acd":
        with pytest.raises(Superseded):
            latest.check("page", place, 1)
