"""The history beside a design, by a clock of the test's own."""

from __future__ import annotations

import datetime

import pytest

from batiksim.document import version_history
from batiksim.document.version_history import VersionHistory
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say

NOON = datetime.datetime(2026, 5, 20, 12, 0, 0)


class Clock(datetime.datetime):
    time = NOON

    @classmethod
    def now(cls, tz=None):
        return cls.time


@pytest.fixture
def clock(monkeypatch):
    monkeypatch.setattr(version_history.datetime, "datetime", Clock)
    Clock.time = NOON
    return Clock


@pytest.fixture
def folder(plain_design, on_disk):
    return on_disk(plain_design)


@pytest.fixture
def history(folder):
    return VersionHistory(folder / "design.toml")


def named(words):
    """A message with these words in it."""
    return say("document.change.rename_pot", pot=words)


def whats(history):
    """The words that its versions were kept under, or the plain sentence over them."""
    whats = [version.what for version in history.versions()]
    return [what if isinstance(what, str) else what.values["pot"] for what in whats]


def keep(history, clock, ages, newest=NOON):
    """Versions of these ages in minutes, the oldest first; then one more just now."""
    for age in sorted(ages, reverse=True):
        clock.time = newest - datetime.timedelta(minutes=age)
        history.add(b"", named(f"{age}"))
    clock.time = newest
    history.add(b"", named("now"))
    return [what for what in whats(history) if what != "now"]


def test_versions_come_the_newest_first_in_words(history, clock):
    assert history.versions() == []
    history.add(b"title = 1\n", named("the  first\nchange"))
    clock.time += datetime.timedelta(seconds=1)
    history.add(b"", named("the second"))
    first = history.versions()[1]
    assert whats(history) == ["the second", "the  first\nchange"]
    assert first.when == NOON
    assert first.key == "20260520T120000-000000"
    assert (history.folder / f"{first.key}.toml").read_text().splitlines() == [
        "# Renamed the first change",
        '# as a message: {"key": "document.change.rename_pot", "parts": {"pot": "the  first\\nchange"}}',
        "title = 1",
    ]
    history.remove(first)
    history.remove(first)
    assert whats(history) == ["the second"]


def test_a_clock_set_back_does_not_change_the_order(history, clock):
    history.add(b"", named("first"))
    clock.time -= datetime.timedelta(hours=1)
    history.add(b"", named("second"))
    history.add(b"", named("third"))
    assert whats(history) == ["third", "second", "first"]
    assert [version.key[-6:] for version in history.versions()] == ["000002", "000001", "000000"]


def test_within_two_hours_all_are_kept(history, clock):
    ages = list(range(0, 119, 2))
    assert keep(history, clock, ages) == [str(age) for age in ages]


def test_older_ones_are_thinned_to_one_in_ten_minutes(history, clock):
    """Twenty within the last minutes; of those three hours old one for each ten minutes, the newest of them."""
    recent = [0.1 * n for n in range(20)]
    kept = keep(history, clock, [*recent, 180, 182, 184, 189, 191, 199, 201])
    assert kept[20:] == ["180", "182", "191", "201"]  # 9:00, 8:58 to 8:51, 8:49 to 8:41, 8:39


def test_after_two_days_one_a_day_is_kept(history, clock):
    day = 24 * 60
    recent = [0.1 * n for n in range(20)]
    kept = keep(history, clock, [*recent, 2 * day - 1, 2 * day + 1, 2 * day + 30, 3 * day, 3 * day + 20])
    assert kept[20:] == [str(2 * day - 1), str(2 * day + 1), str(3 * day)]


def test_the_last_twenty_are_kept_whatever_their_age(history, clock):
    day = 24 * 60
    kept = keep(history, clock, [5 * day + n for n in range(19)])
    assert len(kept) == 19
    assert len(keep(history, clock, [5 * day + n for n in range(25)], NOON + datetime.timedelta(days=1))) <= 22


def test_of_old_versions_twenty_are_full_and_one_a_day(history, clock):
    """The one of now and nineteen more; of the six before them, all of one day, the newest."""
    day = 24 * 60
    assert keep(history, clock, [5 * day + n for n in range(25)]) == [str(5 * day + n) for n in range(20)]


def test_three_hundred_are_the_most(history, clock, monkeypatch):
    monkeypatch.setattr(version_history, "MOST_VERSIONS", 5)
    assert keep(history, clock, range(9)) == ["0", "1", "2", "3"]


def test_other_files_in_the_folder_are_no_versions(history, clock):
    history.add(b"", named("mine"))
    for name in ("notes.toml", "20260520T120000-00000.toml", "20261320T120000-000000.toml"):
        (history.folder / name).write_text("# other\n")
    assert whats(history) == ["mine"]


def test_a_version_is_read_back_as_the_design_it_was(history, folder):
    history.add((folder / "design.toml").read_bytes(), named("one"))
    (version,) = history.versions()
    assert history.design(version.key).title == "Test cloth"
    assert not [path for path in folder.iterdir() if path.name.startswith(".version")]
    for key in ("20260520T120000-00000f", "../design", ""):
        with pytest.raises(BatikError, match="there is no such version"):
            history.design(key)


def test_a_version_without_words(history, clock):
    history.add(b"", named("x"))
    (version,) = history.versions()
    (history.folder / f"{version.key}.toml").write_text("title = 3\n")
    assert whats(history) == [""]


def test_what_was_changed_comes_back_as_a_message(history, clock):
    """With messages and lists among its parts; what is written beside it for a reader is English."""
    cloth = say("document.change.set_cloth", changed=[say("document.change.set_cloth.colour"), "x"])
    undone = say("document.change.undone", change=cloth)
    history.add(b"", undone)
    (version,) = history.versions()
    assert version.what == undone
    assert (history.folder / f"{version.key}.toml").read_text().startswith("# Undid: Changed the undyed colour and x\n")


@pytest.mark.parametrize(
    "second",
    [
        "title = 1",
        "# another comment",
        "# as a message: {",
        "# as a message: 3",
        "# as a message: {}",
        '# as a message: "Changed"',
        '# as a message: {"key": "document.change.of_next_year", "parts": {}}',
        '# as a message: {"key": "document.change.rename_pot", "parts": {}}',
        '# as a message: {"key": "document.change.rename_pot", "parts": 3}',
        '# as a message: {"key": 3, "parts": {}}',
        "# as a message: " + "[" * 100_000,
    ],
)
def test_a_version_of_another_batiksim_has_its_sentence(history, clock, second):
    history.add(b"", named("x"))
    (version,) = history.versions()
    (history.folder / f"{version.key}.toml").write_text(f"# the strength of leaf\n{second}\n")
    assert whats(history) == ["the strength of leaf"]


def test_up_to_two_hours_every_version_is_kept(history, clock):
    """Two of one ten minutes on each side of it: 10:02 and 10:01, 9:59 and 9:58."""
    recent = [0.1 * n for n in range(20)]
    assert keep(history, clock, [*recent, 118, 119, 121, 122])[20:] == ["118", "119", "121"]


def test_three_hundred_versions_are_kept_the_newest(history, clock):
    history.folder.mkdir(parents=True)
    for number in range(298):
        stamp = NOON - datetime.timedelta(seconds=number)
        (history.folder / f"{stamp.strftime('%Y%m%dT%H%M%S')}-000000.toml").write_text(f"# {number}\n")
    for words in ("a", "b"):
        clock.time += datetime.timedelta(seconds=1)
        history.add(b"", named(words))
    assert len(history.versions()) == 300
    clock.time += datetime.timedelta(seconds=1)
    history.add(b"", named("c"))
    assert len(history.versions()) == 300
    assert (whats(history)[:4], whats(history)[-1]) == (["c", "b", "a", "0"], "296")


def test_a_second_version_within_a_microsecond_has_the_next_name(history, clock):
    clock.time = NOON.replace(microsecond=999_999)
    for words in "abc":
        history.add(b"", named(words))
    assert [version.key for version in history.versions()] == [
        "20260520T120001-000001", "20260520T120001-000000", "20260520T120000-0f423f"
    ]  # fmt: skip
    assert history.versions()[0].when == NOON + datetime.timedelta(seconds=1)


def test_a_folder_that_can_not_be_written_to_is_told(history, folder, monkeypatch):
    history.add((folder / "design.toml").read_bytes(), named("one"))
    (version,) = history.versions()
    for error, words in ((OSError(28, "No space left"), "No space left"), (OSError("odd"), "odd")):

        def failing(path, raw, error=error):
            raise error

        with monkeypatch.context() as patched:
            patched.setattr(version_history.Path, "write_bytes", failing)
            with pytest.raises(BatikError, match="can't be written to") as caught:
                history.design(version.key)
        assert (str(caught.value.file), str(caught.value.got)) == (str(folder), words)
