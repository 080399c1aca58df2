"""Meshes refined where the reserve factors get their error from."""
