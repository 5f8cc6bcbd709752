"""The parts of every paper: pages, tables, figures, running lines and cautions."""
