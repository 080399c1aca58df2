"""Studies in, every case computed once and kept; their results out, whatever the night brings."""

from .case import Case, case_of, solve_case
from .cluster import cluster_executor
from .key import canonical, case_key
from .memory import MemoryGate, available_memory, solve_memory
from .plan import Planned, plan
from .result import BatchResult
from .run import How, cores, run_batch
from .store import Store
from .stored import StoredAnswer, stored_answers
from .worker import Workers, attempt

__all__ = [
    "BatchResult",
    "Case",
    "How",
    "MemoryGate",
    "Planned",
    "Store",
    "StoredAnswer",
    "Workers",
    "attempt",
    "available_memory",
    "canonical",
    "case_key",
    "case_of",
    "cluster_executor",
    "cores",
    "plan",
    "run_batch",
    "solve_case",
    "solve_memory",
    "stored_answers",
]
