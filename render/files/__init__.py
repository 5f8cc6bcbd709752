"""Writes files completely or not at all (``atomic``), workbooks (``xlsx``) and ``numbers``."""
