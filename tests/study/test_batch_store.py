"""The store: whole files or none, on disks that are full, torn or read-only."""

from __future__ import annotations

import errno
import os
import subprocess
import time

import pytest

from orthofem.errors import ModelError
from orthofem.study.batch import Store

KEY = "a" * 64
OLD, NEW = {"status": "done", "result": [1.5, float("inf")]}, {"status": "done", "result": [2.5]}


def complaint(store: Store, record: dict, key: str = KEY) -> str:
    """Write a record; return what the store said if it could not."""
    try:
        store.write(key, record)
    except ModelError as error:
        return str(error)
    return ""


def test_a_record_comes_back_as_it_was(tmp_path):
    """What is written is read back, with its key; an unknown key gives None."""
    store = Store(tmp_path / "deep" / "store")
    assert store.read(KEY) is None
    assert store.write(KEY, OLD) == {**OLD, "key": KEY}
    assert store.read(KEY) == {**OLD, "key": KEY}
    assert store.keys() == [KEY]
    assert [path.name for path in store.folder.iterdir()] == [f"{KEY}.json"]


def test_a_torn_file_is_not_believed(tmp_path):
    """A file cut at any length, or with any byte changed, counts as absent."""
    store = Store(tmp_path)
    store.write(KEY, OLD)
    whole = store.path(KEY).read_bytes()
    for length in range(len(whole)):
        store.path(KEY).write_bytes(whole[:length])
        assert store.read(KEY) is None, length
    for place in range(len(whole)):
        changed = bytearray(whole)
        changed[place] ^= 1
        store.path(KEY).write_bytes(changed)
        assert store.read(KEY) is None, place
    assert store.keys() == []
    store.write(KEY, NEW)
    assert store.read(KEY)["result"] == [2.5]


def test_a_file_under_another_key_is_not_believed(tmp_path):
    """A whole file that was copied to another key's name counts as absent."""
    store = Store(tmp_path)
    store.write(KEY, OLD)
    other = "b" * 64
    store.path(other).write_bytes(store.path(KEY).read_bytes())
    assert store.read(other) is None
    store.path(other).unlink()
    store.path(other).mkdir()
    assert store.read(other) is None


@pytest.mark.parametrize("before", [None, OLD], ids=["empty", "overwriting"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EIO], ids=errno.errorcode.get)
def test_a_disk_that_fails_at_any_call_leaves_old_or_new(
    tmp_path, monkeypatch, faulty, before, number
):
    """Whichever call fails, it says why; the key reads old or new, and can be written again."""
    at, said = 0, None
    while at == 0 or said:
        at += 1
        store = Store(tmp_path / str(at))
        if before:
            store.write(KEY, before)
        with monkeypatch.context() as patch:
            faults = faulty(patch, at, number)
            said = complaint(store, NEW)
        assert bool(said) == (faults.count >= at)
        assert not said or os.strerror(number) in said
        assert not said or "run the same command again" in said
        found = store.read(KEY)
        assert (found and found["result"]) in (before and before["result"], NEW["result"])
        assert not list(store.folder.glob(".*"))
        store.write(KEY, NEW)
        assert store.read(KEY)["result"] == NEW["result"]
    assert at > 6  # open, two writes, flush, two syncs and the rename


def test_a_full_disk_is_met_for_real(tmp_path):
    """On a file system of 40 kB, writing ends with a clear message and all that is there whole."""
    small = tmp_path / "small"
    small.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=40k", "tmpfs", str(small)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("no permission to mount a small file system")
    try:
        store = Store(small)
        keys = [f"{k:064x}" for k in range(20)]
        said = [complaint(store, {"result": "x" * 3000}, key) for key in keys]
        assert "No space left on device. Free some space" in said[-1]
        found = store.keys()
        assert 3 < len(found) < 20
        assert found == keys[: len(found)]
        store.path(found[0]).unlink()
        store.write(keys[-1], {"result": "x" * 3000})
        subprocess.run(["mount", "-o", "remount,ro", str(small)], check=True)
        with pytest.raises(ModelError, match="Read-only file system"):
            Store(small)
        with pytest.raises(ModelError, match="Read-only file system"):
            store.write(keys[-1], {"result": "y"})
        assert store.read(keys[-1])["result"] == "x" * 3000
    finally:
        subprocess.run(["umount", str(small)], check=True)


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    """A file in the place of the folder ends with its name and what to do."""
    (tmp_path / "file").write_text("")
    with pytest.raises(ModelError, match="Cannot write results to '.*file/store'.*--store"):
        Store(tmp_path / "file" / "store")


def test_what_killed_runs_left_is_swept_when_it_is_old(tmp_path):
    """Temporary files of an hour ago go; one of a batch that runs now stays."""
    store = Store(tmp_path)
    old, fresh = tmp_path / ".x.1.tmp", tmp_path / ".y.2.tmp"
    old.write_text("half")
    fresh.write_text("half")
    an_hour_ago = time.time() - 3700
    os.utime(old, (an_hour_ago, an_hour_ago))
    assert Store(tmp_path).keys() == store.keys() == []
    assert not old.exists()
    assert fresh.exists()
