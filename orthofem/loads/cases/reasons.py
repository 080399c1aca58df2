"""Words that several load cases share: why a factor is wanted, what a comparison is."""

from __future__ import annotations

BRITTLE = "ultimate over proof 2.0 for brittle failure, idea of ISO 10328 (M-m); factor E"
CONSUMER_TEST = "a comparison with a published consumer test, as described by a test house"
