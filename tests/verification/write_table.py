"""Write the verification table of README.md from the record that the last test runs left.

Run ``pytest`` and ``pytest -m slow`` first, then ``python tests/verification/write_table.py``.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
RECORD = ROOT / ".verification.json"
DIGITS = 1e-4  # relative tolerance of an identity, below what meshes and steps allow


def block(name: str, text: str, page: Path = ROOT / "README.md") -> None:
    """Replace what stands between a page's two markers of this name."""
    start, end = f"<!-- {name}: written by command -->", f"<!-- end {name} -->"
    before, rest = page.read_text(encoding="utf-8").split(start)
    after = rest.split(end)[1]
    page.write_text(f"{before}{start}\n\n{text.strip()}\n\n{end}{after}", encoding="utf-8")


def table(rows: list[dict]) -> str:
    """Markdown table: for each case and source the number that is nearest its tolerance."""
    nearest: dict[tuple, dict] = {}
    count: dict[tuple, int] = {}
    for row in rows:
        key = (row["case"], row["source"], row["grade"])
        count[key] = count.get(key, 0) + 1
        if key not in nearest or _nearness(row) > _nearness(nearest[key]):
            nearest[key] = row
    lines = [
        "| case | source, grade | numbers | nearest its tolerance | target | ours "
        "| difference | allowed |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for key, row in sorted(nearest.items(), key=lambda item: _order(item[0])):
        why = f" ({row['why']})" if row["why"] else ""
        lines.append(
            f"| {row['case']} | {row['source']}, {row['grade']}{why} | {count[key]} | "
            f"{row['quantity']} | {row['target']:.6g} | {row['ours']:.6g} | "
            f"{_amount(row, 'difference')} | {_amount(row, 'allowed')} |"
        )
    return "\n".join(lines)


def _order(key: tuple) -> tuple:
    name, _, number = key[0].partition("-")
    digits = "".join(c for c in number if c.isdigit())
    return name, int(digits or 0), key


def _nearness(row: dict) -> tuple[bool, float]:
    """Share of its tolerance that a number uses.

    An identity, a hit, and a number held to the last digit that its target is printed with, say
    little by that share: they come last.
    """
    share = row["difference"] / max(row["allowed"], 1e-300)
    exact = row["rounded"] or row["allowed"] < DIGITS * row["size"] or share < 1e-6
    return not exact, share


def _amount(row: dict, name: str) -> str:
    """Difference or tolerance as the tolerance is meant: in percent, or in the number's unit."""
    if name == "difference" and row[name] < 1e-9 * (row["size"] or 1.0):
        return "round-off"
    return f"{100 * row[name] / row['size']:.2g} %" if row["relative"] else f"{row[name]:.2g}"


if __name__ == "__main__":
    if not RECORD.exists():
        sys.exit("No record yet: run pytest first.")
    block("verification", table(json.loads(RECORD.read_text(encoding="utf-8"))))
