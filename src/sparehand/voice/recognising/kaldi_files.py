"""The matrices of a Kaldi model's binary files, as far as the extractor of i-vectors needs them.

Layout as Kaldi writes it: a token with a space, then for a number its size in bytes and the number, for
a matrix its kind (FM, DM, FV, DV, FP, DP: single or double; matrix, vector or packed triangle) and its shape.
"""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.errors import InputError

Matrix = NDArray[np.float32]


class KaldiReader:
    """Reads one binary file from its beginning on. Everything raises InputError where the file is not as expected."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._content = path.read_bytes()
        self._at = 2
        if self._content[:2] != b"\0B":
            raise self._error("no binary file of Kaldi")

    def expect(self, *tokens: str) -> None:
        """Pass over these tokens."""
        for token in tokens:
            if (found := self._token()) != token:
                raise self._error(f"{token} expected, {found} found")

    def count(self) -> int:
        """A whole number."""
        return int(self._number("<i", 4))

    def real(self) -> float:
        """A number in double precision."""
        return float(self._number("<d", 8))

    def array(self) -> Matrix:
        """A vector of shape (n,), a matrix of shape (rows, columns), or a packed one as a whole, symmetric."""
        kind = self._token()
        if len(kind) != 2 or kind[0] not in "FD" or kind[1] not in "VMP":
            raise self._error(f"a matrix expected, {kind} found")
        precision = np.dtype("<f4" if kind[0] == "F" else "<f8")
        rows = self.count()
        columns = self.count() if kind[1] == "M" else 1
        size = rows * (rows + 1) // 2 if kind[1] == "P" else rows * columns
        if size < 0 or self._at + size * precision.itemsize > len(self._content):
            raise self._error("it ends too early")
        values = np.frombuffer(self._content, precision, size, self._at).astype(np.float32)
        self._at += size * precision.itemsize
        if kind[1] != "P":
            return values.reshape(rows, columns) if kind[1] == "M" else values
        whole = np.zeros((rows, rows), np.float32)
        whole[np.tril_indices(rows)] = values
        return whole + np.tril(whole, -1).T

    def _token(self) -> str:
        end = self._content.find(b" ", self._at)
        if end < 0:
            raise self._error("it ends too early")
        token, self._at = self._content[self._at : end], end + 1
        return token.decode("ascii", "replace")

    def _number(self, layout: str, size: int) -> float:
        if self._content[self._at : self._at + 1] != bytes([size]) or self._at + 1 + size > len(self._content):
            raise self._error("a number expected")
        (value,) = struct.unpack_from(layout, self._content, self._at + 1)
        self._at += 1 + size
        return float(value)

    def _error(self, what: str) -> InputError:
        return InputError(f"{self._path}: {what}; install the model again")
