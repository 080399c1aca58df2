"""A folder of finished cases, one file each, that believes no torn file."""

from __future__ import annotations

import hashlib
import json
import os
import time
from pathlib import Path

from orthofem.errors import ModelError

HEAD = "orthofem case 1 sha256 "
STALE = 3600.0
"""Age at which a temporary file is taken for one that a killed run left behind. [s]"""


class Store:
    """Results by content key.

    A file is written under another name, brought to the disk, and only then renamed: whatever
    happens, a key's file is absent, old or new, never half. A checksum inside guards against what
    a disk does later. Any number of batches may share a store.

    Parameters
    ----------
    folder : str or Path
        Made if missing.

    Raises
    ------
    ModelError
        If the folder cannot be made or written to.
    """

    def __init__(self, folder: str | Path):
        self.folder = Path(folder)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._sweep()
            probe = self.folder / f".{os.getpid()}.write-check"
            probe.write_bytes(b"x")
            probe.unlink()
        except OSError as error:
            raise ModelError(self._trouble(error)) from error

    def path(self, key: str) -> Path:
        """File of a key, whether or not it is there."""
        return self.folder / f"{key}.json"

    def read(self, key: str) -> dict | None:
        """Record of a key; None if there is none, or its file is torn, unreadable or another's."""
        try:
            return _checked(self.path(key).read_bytes(), key)
        except OSError:
            return None

    def write(self, key: str, record: dict) -> dict:
        """Write a record whole or not at all; return it as it will be read.

        Raises
        ------
        ModelError
            If it cannot be written: no space, no permission, the folder gone.
        """
        body = json.dumps({**record, "key": key}).encode()
        digest = hashlib.sha256(body).hexdigest()
        temporary = self.folder / f".{key}.{os.getpid()}.tmp"
        try:
            with temporary.open("wb") as file:
                file.write(f"{HEAD}{digest}\n".encode())
                file.write(body)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(self.path(key))
            _sync_folder(self.folder)
        except OSError as error:
            _remove(temporary)
            raise ModelError(self._trouble(error)) from error
        return json.loads(body)

    def keys(self) -> list[str]:
        """Keys whose files can be believed."""
        found = sorted(path.stem for path in self.folder.glob("*.json"))
        return [key for key in found if self.read(key) is not None]

    def _sweep(self) -> None:
        """Remove what killed runs left half written."""
        oldest = time.time() - STALE
        for path in self.folder.glob(".*.tmp"):
            if path.stat().st_mtime < oldest:
                _remove(path)

    def _trouble(self, error: OSError) -> str:
        return (
            f"Cannot write results to '{self.folder}': {error.strerror or error}. Free some space "
            "or change its permissions, or give another folder with --store. What was finished "
            "before is whole; run the same command again to go on."
        )


def _checked(text: bytes, key: str) -> dict | None:
    """Record in a file's bytes if they are whole and belong to the key."""
    head, _, body = text.partition(b"\n")
    if head != f"{HEAD}{hashlib.sha256(body).hexdigest()}".encode():
        return None
    record = json.loads(body)
    return record if record.get("key") == key else None


def _sync_folder(folder: Path) -> None:
    """Bring a rename to the disk, where folders can be opened for that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return  # it stays behind under its temporary name, which nothing reads
