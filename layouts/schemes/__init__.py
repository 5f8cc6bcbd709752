"""Schemes as data: one file per convention and edition, and the loader that rejects a bad one."""
