"""ROOM."""
