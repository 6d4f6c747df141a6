"""Photos that were sent: checked, kept as files under names of their own, the oldest gone first."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from batiksim.document.uploads import photos as module
from batiksim.document.uploads.photos import Photos
from batiksim.errors import BatikError


@pytest.fixture
def send(tmp_path):
    """send(name) : what is known of a photo of 30 x 20 pixels, red but for its first column, sent under that name."""
    (tmp_path / "kept").mkdir()
    photos = Photos(tmp_path / "kept")

    def sent(name="leaf.png"):
        pixels = np.full((20, 30, 3), (200, 10, 20), np.uint8)
        pixels[:, 0] = 255
        Image.fromarray(pixels).save(tmp_path / "sent", "PNG")
        return photos.take(tmp_path / "sent", name)

    sent.photos, sent.folder = photos, tmp_path
    return sent


def test_what_is_known_of_a_photo(send):
    told = send()
    assert told == {"key": told["key"], "name": "leaf.png", "rows": 20, "cols": 30}
    photo = send.photos.get(told["key"])
    assert (photo.file.parent, photo.name) == (send.folder / "kept", "leaf.png")
    assert not (send.folder / "sent").exists()
    assert photo.size == (20, 30)
    shown = photo.shown
    assert shown.shape == (20, 30, 4)
    assert [shown[9, col].tolist() for col in (0, 1)] == [[255] * 4, [200, 10, 20, 255]]


@pytest.mark.parametrize(
    ("name", "ending"),
    [("a.JPG", ".jpg"), ("a.tiff", ".tiff"), ("a.toml", ".png"), ("a", ".png"), ("../a.webp", ".webp")],
)
def test_a_file_ends_as_its_picture_did_if_that_is_a_pictures_end(send, name, ending):
    photo = send.photos.get(send(name)["key"])
    assert (photo.file.suffix, photo.name, photo.file.parent.name) == (ending, name, "kept")


def test_the_last_six_are_kept(send):
    keys = [send(f"{number}.png")["key"] for number in range(8)]
    assert len(set(keys)) == len(keys)
    assert len(list((send.folder / "kept").iterdir())) == 6
    assert [send.photos.get(key).name for key in keys[2:]] == [f"{number}.png" for number in range(2, 8)]
    with pytest.raises(BatikError, match=r"photo: is no longer here; drop the photo again"):
        send.photos.get(keys[1])


def test_a_large_photo_is_shown_smaller_and_kept_as_it_is(send, monkeypatch):
    monkeypatch.setattr(module, "SHOWN_PX", 15)
    photo = send.photos.get(send()["key"])
    assert photo.shown.shape == (10, 15, 4)
    assert photo.size == (20, 30)


def test_what_is_no_picture_is_told_by_the_name_it_was_sent_under(send, monkeypatch):
    (send.folder / "sent").write_text("nonsense")
    with pytest.raises(BatikError) as error:
        send.photos.take(send.folder / "sent", "notes.png")
    assert error.value.file == "notes.png"
    assert str(error.value.fix)
    monkeypatch.setattr(module, "MOST_PIXELS", 599)
    with pytest.raises(BatikError, match=r"leaf\.png: "):
        send()
    monkeypatch.setattr(module, "MOST_PIXELS", 600)
    assert send()["rows"] == 20
    assert len(list((send.folder / "kept").iterdir())) == 1
