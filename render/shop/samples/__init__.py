"""Files for a shop to start from: commented, valid, with every key."""
