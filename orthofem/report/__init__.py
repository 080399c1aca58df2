"""A study's result in; a folder with verdict, tables, fields and figures out."""

from .files import check_folder, write, write_text
from .verdict import CAUTION, case_verdicts, certainty, line, overall, standing, where

__all__ = [
    "CAUTION",
    "case_verdicts",
    "certainty",
    "check_folder",
    "line",
    "overall",
    "standing",
    "where",
    "write",
    "write_text",
]
