"""How much memory one process took at most."""

from __future__ import annotations

from pathlib import Path


def peak_memory() -> float:
    """Highest resident memory of this process alone. [GB].

    From the kernel's own record: getrusage would count the process that started this one too.
    """
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) * 1024 / 1e9
