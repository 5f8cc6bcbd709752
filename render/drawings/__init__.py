"""Drawings as files: PDF, DXF, CSV exports and DEXPI in, the sheets that ``layouts`` takes out.

    readers       which reader takes which file, and how large a file may be
    pdf_texts     text of PDF pages with its places (pypdfium2)
    dxf_texts     TEXT, MTEXT and attributes of a DXF (ezdxf)
    name_tables   a table of tags or lines as CSV
    dexpi         Proteus XML of DEXPI 1.3 and the XML of DEXPI 2.0
    title_block   drawing number and revision out of a sheet's texts

A file that is hostile or broken is refused in a sentence; nothing is fetched and no entity is
ever resolved.
"""
