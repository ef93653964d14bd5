"""Logs as ASAM MDF 4, through a library that is an extra of its own: ``pip install 'engine-limits[mdf]'``."""

from __future__ import annotations

import gc
import hashlib
import io
import logging
import struct
import sys
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import InputError, Problem
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.columns import RawColumn, Source, log_of, without_unit
from enginelimits.measured.log import Log
from enginelimits.measured.names import LogNames, plain

FloatArray = NDArray[np.float64]

EXTRA: Final = "mdf"
MOST_ROWS: Final = 1_000_000
# Of packed blocks, all together once unpacked [bytes]
MOST_UNPACKED: Final = 200_000_000


def read_mdf(path: str | Path, raw: bytes, names: LogNames) -> Log:
    """The log of an MDF 4 file.  Raises InputError where it cannot be read, or the extra is not installed.

    A name of the shop's is a channel, or `group/channel` where several groups hold one of that name.  Channels of
    different rates are put on the time of the engine speed's, linear between their own rows.
    """
    with _in_silence():
        return _read(str(path), raw, names)


@contextmanager
def _in_silence() -> Iterator[None]:
    """The library logs and, taking down what a broken file left of it, prints; what counts is told by this module."""
    hook, level = sys.unraisablehook, logging.root.manager.disable
    sys.unraisablehook = lambda _: None
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        gc.collect()
        sys.unraisablehook = hook
        logging.disable(level)


def _read(file: str, raw: bytes, names: LogNames) -> Log:
    measured = _opened(raw, file)
    problem: Problem | None = None
    try:
        wanted = _wanted(measured, names, file)
        signals = [(header, measured.get(group=group, index=index)) for header, group, index in wanted]
        not_read = _not_read(measured, {(group, index) for _, group, index in wanted})
    except InputError:
        raise
    except Exception as error:  # noqa: BLE001  a broken file may break the library anywhere
        problem = _broken(file, error)
    finally:
        measured.close()
    if problem is not None:
        raise InputError([problem])
    usable = [(header, s) for header, s in signals if _is_numeric(s)]
    words = tuple(header for header, s in signals if not _is_numeric(s))
    if words:
        raise InputError([Problem("numbers in this channel", "words", key=w, file=file) for w in words])
    if not usable:
        problem = Problem("channels that the names or our own words name", "none", _mend(not_read), file=file)
        raise InputError([problem])
    base = _base(usable, names)
    if base.size > MOST_ROWS:
        raise InputError([Problem(f"at most {MOST_ROWS} rows", f"{base.size}", "Cut the log to the pulls.", file=file)])
    columns = [RawColumn(header, signal.unit or "", _on(base, signal), number)
               for number, (header, signal) in enumerate(usable, 1)]
    columns.insert(0, RawColumn("time", "s", base - base[0], 0))
    log = log_of(columns, names, Source(file, hashlib.sha256(raw).hexdigest(),
                                        remarks=("ASAM MDF 4; channels of other rates put on engine speed's time",)))
    return Log(log.file, log.digest, log.time, log.channels, (*log.not_mapped, *not_read), log.remarks)


def _opened(raw: bytes, file: str) -> Any:
    try:
        from asammdf import MDF
    except ImportError:
        mend = f"Install it: pip install 'engine-limits[{EXTRA}]'; or export the log as CSV."
        raise InputError([Problem(f"the extra `{EXTRA}`, which reads ASAM MDF", "not installed", mend,
                                  file=file)]) from None
    version = raw[8:16].decode("latin-1").strip("\x00 ")
    if not version.startswith("4"):
        raise InputError([Problem("ASAM MDF 4", f"version {version}", "Convert it, or export it as CSV.", file=file)])
    _refuse_swelling(raw, file)
    try:
        return MDF(io.BytesIO(raw))
    except Exception as error:  # noqa: BLE001  whatever the library raises, the file is what is wrong
        problem = _broken(file, error)
    raise InputError([problem])


def _refuse_swelling(raw: bytes, file: str) -> None:
    """InputError where packed blocks hold more than memory should, or more than they say."""
    left, at = MOST_UNPACKED, raw.find(b"##DZ")
    while at >= 0:
        # After id, length and count of links: kind of data, of packing and its parameter; lengths unpacked and packed
        head = raw[at + 24 : at + 48]
        if len(head) == 24:
            declared, packed = struct.unpack("<QQ", head[8:])
            data = raw[at + 48 : at + 48 + packed]
            left -= min(declared, left + 1) if declared > left else _unpacked(data, left)
        if left < 0:
            wanted = f"at most {MOST_UNPACKED // 1_000_000} MB when unpacked"
            raise InputError([Problem(wanted, "more", "Cut the log to the pulls.", file=file)])
        at = raw.find(b"##DZ", at + 4)


def _unpacked(data: bytes, most: int) -> int:
    """How many bytes the data are once unpacked, counted up to one more than ``most``."""
    unpacker, size = zlib.decompressobj(), 0
    try:
        while data and size <= most:
            size += len(unpacker.decompress(data, 1 << 20))
            data = unpacker.unconsumed_tail
    except zlib.error:
        pass  # the library tells what is broken
    return size


def _broken(file: str, error: Exception) -> Problem:
    return Problem("an ASAM MDF 4 file that can be read", str(error)[:120] or type(error).__name__,
                   "Is the recording complete?", file=file)


def _wanted(measured: Any, names: LogNames, file: str) -> list[tuple[str, int, int]]:
    """Header, group and index of each channel that is named, each once."""
    found: list[tuple[str, int, int]] = []
    problems: list[Problem] = []
    for name, places in sorted(measured.channels_db.items()):
        own = plain(without_unit(name)[0]) in CHANNELS
        data = [(g, i) for g, i in places if measured.masters_db.get(g) != i]
        by_group = [(f"{_group(measured, g)}/{name}", g, i) for g, i in data]
        in_groups = [entry for entry in by_group if entry[0] in names.names]
        if in_groups:
            found += in_groups
        elif name in names.names or own:
            if len(data) > 1:
                mend = f"Name one as {', '.join(f'`{header}`' for header, _, _ in by_group[:4])}."
                problems.append(Problem("one channel of that name", f"{len(data)}", mend, name[:60], file))
            elif data:
                found.append((name, *data[0]))
    if problems:
        raise InputError(problems)
    return [entry for entry in found if plain(entry[0]) != "time"]


def _group(measured: Any, index: int) -> str:
    group = measured.groups[index].channel_group
    return str(getattr(group, "acq_name", "") or index)


def _not_read(measured: Any, read: set[tuple[int, int]]) -> tuple[str, ...]:
    return tuple(sorted(
        name for name, places in measured.channels_db.items()
        if not any((g, i) in read for g, i in places)
        and not all(measured.masters_db.get(g) == i for g, i in places)
    ))


def _is_numeric(signal: Any) -> bool:
    return bool(np.issubdtype(np.asarray(signal.samples).dtype, np.number) and np.ndim(signal.samples) == 1)


def _base(signals: list[tuple[str, Any]], names: LogNames) -> FloatArray:
    """The time of engine speed's own rows, else of the channel with most rows."""
    for header, signal in signals:
        named = names.names.get(header)
        if (named.channel if named is not None else plain(without_unit(header)[0])) == "engine_speed":
            return _each_time_once(signal.timestamps)
    return _each_time_once(max((s.timestamps for _, s in signals), key=len))


def _each_time_once(times: Any) -> FloatArray:
    return np.unique(np.asarray(times, dtype=float))


def _on(base: FloatArray, signal: Any) -> FloatArray:
    at, values = np.asarray(signal.timestamps, dtype=float), np.asarray(signal.samples, dtype=float)
    known = np.isfinite(values)
    if not known.any():
        return np.full(base.size, np.nan)
    return np.asarray(np.interp(base, at[known], values[known], left=np.nan, right=np.nan), dtype=np.float64)


def _mend(names: tuple[str, ...]) -> str:
    return f"The file holds {', '.join(names[:12])}." if names else "The file holds none."
