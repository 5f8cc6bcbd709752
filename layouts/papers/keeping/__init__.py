"""Papers that keep markers true: survey sheets, what was found, rounds, replacements, audit."""
