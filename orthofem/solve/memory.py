"""How much memory is free, in a container too."""

from __future__ import annotations

import math
import os
from pathlib import Path


def available_memory() -> float:
    """Memory that can be had now without paging, of the machine or of its container. [bytes]

    Infinite where the system does not say.
    """
    return min(_machine(Path("/proc/meminfo")), _container(Path("/sys/fs/cgroup")))


def _machine(path: Path) -> float:
    if path.is_file():
        for line in path.read_text(encoding="utf-8").splitlines():
            if line.startswith("MemAvailable:"):
                return 1024.0 * float(line.split()[1])
    if hasattr(os, "sysconf") and "SC_PHYS_PAGES" in os.sysconf_names:
        # no figure for what is free: take half of what there is
        return 0.5 * os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    return math.inf


def _container(folder: Path) -> float:
    """Room left in the control group that a container runs in."""
    try:
        limit = (folder / "memory.max").read_text(encoding="utf-8").strip()
        used = (folder / "memory.current").read_text(encoding="utf-8").strip()
    except OSError:
        return math.inf
    return math.inf if limit == "max" else float(limit) - float(used)
