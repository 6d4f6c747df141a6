"""Every mask of the designs on the table, each once at full size and once at each size it is shown at.

A mask never changes under its name: a touched-up one is a new picture with a name of its own. So designs can be undone,
compared and tried out while they all share the same arrays.
"""

from collections.abc import Callable, Iterable
from threading import RLock

import numpy as np

from batiksim.changes.new_masks import mask_use
from batiksim.cloth.program import design_masks
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.types import Bytes
from batiksim.values import Design, MaskUse

TOUCHED = "touched"  # the folder for touched-up masks, in the design's folder
KEPT_BYTES = 600_000_000  # of full-size masks in memory that the design of the moment doesn't use
BARE_COLS, BARE_ROWS = 1200, 900  # a design without any mask shows a small cloth of 4:3
Reader = Callable[[MaskUse], Bytes]


class MaskCache:
    """Masks by their use. reader : reads one from disk, uint8 (rows, cols), 255 = fully marked."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._lock = RLock()
        self._full: dict[MaskUse, Bytes] = {}
        self._small: dict[tuple[MaskUse, int], Bytes] = {}
        self._unsaved: dict[MaskUse, Bytes] = {}

    def put(self, use: MaskUse, mask: Bytes) -> None:
        """Hold a mask that is on disk already."""
        kept = np.ascontiguousarray(mask)
        kept.flags.writeable = False
        with self._lock:
            self._full[use] = kept

    def put_new(self, stem: str, mask: Bytes, *, folder: str = TOUCHED) -> MaskUse:
        """Hold a mask that is to be saved as a picture; returns its use. Its name depends on its content."""
        use = mask_use(stem, mask, folder=folder)
        self.put_unsaved(use, mask)
        return use

    def put_unsaved(self, use: MaskUse, mask: Bytes) -> None:
        """Hold a new mask that is named already, and is to be saved as a picture."""
        with self._lock:
            self.put(use, mask)
            self._unsaved[use] = self._full[use]

    def full(self, use: MaskUse) -> Bytes:
        """The mask at full size, uint8 (rows, cols), read-only; read from disk if it isn't here."""
        with self._lock:
            mask = self._full.pop(use, None)
            if mask is None:
                self.put(use, self._reader(use))
                mask = self._full.pop(use)
            self._full[use] = mask  # the last used stands last
            return mask

    def held(self, use: MaskUse) -> Bytes | None:
        """The mask at full size where it is still in memory, else None."""
        with self._lock:
            return self._full.get(use, self._unsaved.get(use))

    def small(self, use: MaskUse, width: int) -> Bytes:
        """The mask reduced to a width by area means."""
        with self._lock:
            mask = self._small.get((use, width))
        if mask is None:
            mask = images.reduced(self.full(use), width)
            with self._lock:
                self._small[use, width] = mask
        return mask

    def size(self, design: Design) -> tuple[int, int]:
        """Rows and columns of a design's masks. Raises BatikError when they differ."""
        uses = design_masks(design)
        if not uses:
            return BARE_ROWS, BARE_COLS
        shape = self.full(uses[0]).shape
        for use in uses[1:]:
            if self.full(use).shape != shape:
                rows, cols = self.full(use).shape
                raise BatikError(
                    "document.error.sizes_differ",
                    field=use.picture,
                    cols=cols,
                    rows=rows,
                    first=uses[0].picture,
                    first_cols=shape[1],
                    first_rows=shape[0],
                )
        return int(shape[0]), int(shape[1])

    def unsaved(self, uses: Iterable[MaskUse]) -> dict[MaskUse, Bytes]:
        """Those masks among some that are not on disk yet, and all touched-up ones: undo may want them back."""
        among = set(uses)
        with self._lock:
            return {
                use: mask
                for use, mask in self._unsaved.items()
                if use in among or use.picture.startswith(f"{TOUCHED}/")
            }

    def saved(self, use: MaskUse) -> None:
        """The mask is on disk now."""
        with self._lock:
            self._unsaved.pop(use, None)

    def tidy(self, needed: Iterable[MaskUse]) -> None:
        """Drop masks that nothing uses at the moment, the least recently used first, once they take much memory."""
        keep = set(needed)
        with self._lock:
            spare = [use for use in self._full if use not in keep and use not in self._unsaved]
            total = sum(self._full[use].nbytes for use in spare)
            for use in spare:
                if total <= KEPT_BYTES:
                    break
                total -= self._full.pop(use).nbytes
            for key in [key for key in self._small if key[0] not in self._full]:
                del self._small[key]
