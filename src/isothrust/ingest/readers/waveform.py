"""Waveforms: WAV, FLAC and AIFF, of any bit depth; only the channel that is asked for is held in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Claim, Contents, NamedTable, Specimen
from isothrust.ingest.readers.late import late
from isothrust.ingest.readers.numeric import NumericColumn, NumericTable, check_room, numeric_table
from isothrust.tables.heads import Head

__all__ = ["Waveform", "channel_facts"]

_RIFF: Final = (b"RIFF", b"RIFX", b"RF64", b"BW64")
_BLOCK: Final = 1 << 18
_LOOKED_AT: Final = 1 << 20
"""Samples from the beginning of a file by which its channels are told apart."""
_BITS: Final[Mapping[str, int]] = MappingProxyType({"PCM_S8": 8, "PCM_U8": 8, "PCM_16": 16, "PCM_24": 24, "PCM_32": 32})
_FLOATS: Final = frozenset({"FLOAT", "DOUBLE"})


class Waveform:
    """The reader of waveform files."""

    name = "waveform"

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT for the magic words of the formats that lose nothing."""
        head = specimen.beginning
        riff = head[:4] in _RIFF and head[8:12] == b"WAVE"
        aiff = head[:4] == b"FORM" and head[8:12] in (b"AIFF", b"AIFC")
        if riff or aiff or head[:4] == b"fLaC":
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith((".wav", ".flac", ".aif", ".aiff", ".w64")) else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the file as one table: a column a channel, in parts of full scale, at the file's own rate."""
        del wanted
        with _opened(specimen) as sound:
            kind, container, rate = str(sound.subtype), str(sound.format), float(sound.samplerate)
            rows, width = int(sound.frames), int(sound.channels)
        if rows <= 0 or rate <= 0.0:
            raise _unreadable(specimen, "its head states no sample (the recorder lost its power before writing it)")
        bits = _BITS.get(kind)
        if bits is None and kind not in _FLOATS:
            raise _unreadable(specimen, f"its samples are packed as {kind}, which loses part of the signal")
        check_room(rows, 1, specimen.size, specimen.path)
        depth = f"{bits}-bit whole numbers" if bits else f"{64 if kind == 'DOUBLE' else 32}-bit floating point"
        step = 2.0 ** (1 - bits) if bits else None
        columns = [NumericColumn(Head.of(f"channel {number}"), step=step) for number in range(1, width + 1)]
        words = f"{container}, {rate:g} Hz, {depth}"
        table = numeric_table(specimen.path, columns, rows, _Samples(specimen, rows), words=words)
        return Contents((NamedTable("", replace(table, rate=rate, bits=bits)),))


@dataclass(frozen=True, slots=True)
class _Samples:
    specimen: Specimen
    rows: int

    def numbers(self, column: int) -> NDArray[np.float64]:
        """Return one channel [parts of full scale]; NaN where the file ends before its head says."""
        values, start = np.full(self.rows, np.nan), 0
        with _opened(self.specimen) as sound:
            while start < self.rows and len(block := sound.read(_BLOCK, dtype="float64", always_2d=True)):
                stop = min(start + len(block), self.rows)
                values[start:stop] = block[: stop - start, column]
                start = stop
        return values

    def texts(self, column: int) -> pl.Series:
        """Return one channel as text; nobody asks for it, since a waveform holds no stamps."""
        return pl.Series(self.numbers(column)).cast(pl.String)

    def beginning(self) -> NDArray[np.float64]:
        """Return the first samples of all channels."""
        with _opened(self.specimen) as sound:
            return np.asarray(sound.read(_LOOKED_AT, dtype="float64", always_2d=True))


def channel_facts(table: NumericTable) -> str:
    """Return in words how the channels of a waveform differ: level, offset, samples at full scale."""
    assert isinstance(table.cells, _Samples)
    told = []
    for number, values in enumerate(table.cells.beginning().T, 1):
        offset = float(np.mean(values))
        level = float(np.std(values))
        shown = f"{20.0 * np.log10(level):.0f} dB of full scale" if level > 0.0 else "silent"
        full = int(np.count_nonzero(np.abs(values) >= 1.0 - 2.0**-15))
        told.append(f"channel {number}: {shown}, offset {offset:+.3f}, largest {float(np.abs(values).max()):.3f}")
        if full > 1:
            told[-1] += f", {full} samples at full scale"
    return "; ".join(told)


def _opened(specimen: Specimen) -> Any:  # noqa: ANN401 (soundfile has no types)
    library = late("soundfile")
    try:
        return library.SoundFile(specimen.path if specimen.data is None else specimen.open())
    except (library.SoundFileError, RuntimeError, OSError, TypeError) as failure:
        raise _unreadable(specimen, str(failure).rpartition(": ")[2]) from None


def _unreadable(specimen: Specimen, why: str) -> LogError:
    return LogError(
        f"{Path(specimen.path).name} cannot be read as a waveform: {why}",
        code="damaged-file",
        where=Where(specimen.path),
        expected="WAV, FLAC or AIFF, whole numbers of 8 to 32 bits or floating point",
        fix="copy the file again from the recorder, or export it as WAV",
    )
