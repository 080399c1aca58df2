"""A study's result in; a folder with verdict, tables, fields and figures out."""

from .files import write
from .folder import check_folder, write_text
from .morning import batch_csv, batch_printing_csv, duration, morning, outcome, write_morning
from .plan import conclusion as plan_conclusion
from .plan import page as plan_words
from .plan_files import write_plans
from .plan_tables import BRIEF_COLUMNS as PLAN_COLUMNS
from .plan_tables import brief_plans
from .printing import BRIEF, brief_rows, print_notes
from .verdict import CAUTION, case_verdicts, option_notes, overall, standing, unsettled, where

__all__ = [
    "BRIEF",
    "CAUTION",
    "PLAN_COLUMNS",
    "batch_csv",
    "batch_printing_csv",
    "brief_plans",
    "brief_rows",
    "case_verdicts",
    "check_folder",
    "duration",
    "morning",
    "option_notes",
    "outcome",
    "overall",
    "plan_conclusion",
    "plan_words",
    "print_notes",
    "standing",
    "unsettled",
    "where",
    "write",
    "write_morning",
    "write_plans",
    "write_text",
]
