"""A disk that fails when it is told to."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest


@pytest.fixture
def faulty():
    """Return the class that makes one call that touches the disk fail."""
    return Faulty


class Faulty:
    """Counts every call that touches the disk and lets one of them fail, half done."""

    def __init__(self, monkeypatch, at: int, number: int = errno.ENOSPC):
        self.count, self.at, self.number = 0, at, number
        opened, replaced, synced = Path.open, Path.replace, os.fsync

        def open_(path, mode="r", *rest, **named):
            if "w" not in mode:
                return opened(path, mode, *rest, **named)
            self.step()
            return FaultyFile(opened(path, mode, *rest, **named), self)

        monkeypatch.setattr(Path, "open", open_)
        monkeypatch.setattr(Path, "replace", lambda a, b: (self.step(), replaced(a, b))[1])
        monkeypatch.setattr(os, "fsync", lambda handle: (self.step(), synced(handle))[1])

    def step(self):
        """Count a call; raise at the one that is to fail."""
        self.count += 1
        if self.count == self.at:
            raise OSError(self.number, os.strerror(self.number))


class FaultyFile:
    """A file whose failing write leaves half of the bytes behind."""

    def __init__(self, file, faults):
        self.file, self.faults = file, faults

    def __enter__(self):
        return self

    def __exit__(self, *problem):
        self.file.close()

    def write(self, data):
        """Write, or write half and fail."""
        try:
            self.faults.step()
        except OSError:
            self.file.write(data[: len(data) // 2])
            raise
        return self.file.write(data)

    def flush(self):
        """Flush, or fail."""
        self.faults.step()
        self.file.flush()

    def fileno(self):
        """Handle of the real file."""
        return self.file.fileno()
