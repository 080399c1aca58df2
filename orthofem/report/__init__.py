"""A study's result in; a folder with verdict, tables, fields and figures out."""

from .files import check_folder, write, write_text
from .morning import batch_csv, duration, morning, outcome, write_morning
from .verdict import CAUTION, case_verdicts, certainty, line, option_notes, overall, standing, where

__all__ = [
    "CAUTION",
    "batch_csv",
    "case_verdicts",
    "certainty",
    "check_folder",
    "duration",
    "line",
    "morning",
    "option_notes",
    "outcome",
    "overall",
    "standing",
    "where",
    "write",
    "write_morning",
    "write_text",
]
