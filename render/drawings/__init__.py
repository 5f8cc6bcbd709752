"""Reads drawings from PDF, DXF, CSV exports and DEXPI into the sheets that ``layouts`` takes.

    readers       which reader takes which file, and how large a file may be
    pdf_texts     text of PDF pages with its positions (pypdfium2)
    dxf_texts     TEXT, MTEXT and attributes of a DXF (ezdxf)
    name_tables   a table of tags or lines as CSV
    dexpi         Proteus XML of DEXPI 1.3 and the XML of DEXPI 2.0
    title_block   drawing number and revision from a sheet's texts

A hostile or broken file is refused with one sentence. Nothing is fetched, and XML entities are
never resolved.
"""
