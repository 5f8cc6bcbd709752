"""Starter files for a shop: commented and valid, with every key."""
