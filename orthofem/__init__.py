"""Finite-element studies of printed load-bearing parts: dimensions in, verdict and figures out."""

__version__ = "0.1.0"
