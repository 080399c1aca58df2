"""All benchmarks, one after the other: ``python tests/benchmarks/run.py [--write] [NAME ...]``.

With ``--write`` the tables go into README.md. Takes about half an hour on two cores.
"""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "verification")]
NAMES = ("spine", "sweep", "growth", "batch", "library", "contact")
KEPT = HERE.parent.parent / ".benchmarks.json"


def main() -> None:
    """Run the named benchmarks, all if none is named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(NAMES))
    parser.add_argument("--write", action="store_true", help="write the tables into README.md")
    options = parser.parse_args()
    kept = json.loads(KEPT.read_text()) if KEPT.exists() else {}
    for name in options.names or NAMES:
        kept[name] = importlib.import_module(name).report()
        sys.stdout.write(kept[name] + "\n")
        KEPT.write_text(json.dumps(kept, indent=1))
    if options.write:
        from write_table import block

        block("benchmarks", "\n".join(kept[name] for name in NAMES if name in kept))


if __name__ == "__main__":
    main()
