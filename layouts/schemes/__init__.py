"""Schemes as data: one file a convention and edition, and the loader that refuses a bad one."""
