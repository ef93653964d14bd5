"""A log as it was read: channels by our names, SI, on the log's own time; nothing smoothed, nothing dropped."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Channel:
    """One recorded channel, shape (rows,), SI; NaN where the log has no value.

    ``header`` is the name in the file, ``written_unit`` the unit it was recorded in.
    """

    name: str
    si: FloatArray
    unit: str
    header: str
    written_unit: str


@dataclass(frozen=True)
class Log:
    """One log file.  ``time`` [s] rises, shape (rows,); ``digest`` is the SHA-256 of the file's bytes.

    ``not_mapped`` holds the headers that no channel of ours was named for; ``remarks`` what reading had to mend.
    """

    file: str
    digest: str
    time: FloatArray
    channels: Mapping[str, Channel]
    not_mapped: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    def get(self, name: str) -> FloatArray | None:
        """The values of a channel, None when the log does not hold it."""
        channel = self.channels.get(name)
        return None if channel is None else channel.si
