"""A screwed joint tightened by hand: two springs and a thread, and its load shares by contact."""
