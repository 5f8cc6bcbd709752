"""What every paper is made of: pages, tables, figures, running lines and cautions."""
