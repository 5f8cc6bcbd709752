"""What papers are made of: pages with headings and paragraphs, tables, pictures of markers."""
