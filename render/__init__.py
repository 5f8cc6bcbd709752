"""How it is read and written: every file, every command. Imports ``layouts``, never the reverse.

job.py        build: the only place that names all six hops, in order (see ``layouts``)
decide.py     hops 2 and 3, which every command shares, light to load
lists.py      check and order, for the commands, the page and Python
one_marker.py one marker from its words, for the same three
draw.py       the drawing of one marker
options.py    what a command adds to an order, read once at the door
processes.py  independent work shared among the machine's cores

files/        one file or folder, whole or not at all; numbers; workbooks
read/         hop 1: lists, workbooks, order files, schemes, fonts -> typed values
shop/         the shop's file, prices and offcuts -> Shop
color/        profiles, gamut, readings: what a printer makes of the inks
write/        hop 6: Document -> PDF, SVG, DXF, PNG; tables; the papers of a job
preflight/    judges any PDF, ours or not; knows nothing of write/
folder/       keeping it true: approvals, reprints, comparisons of job folders
drawings/     P&IDs as PDF, DXF, tables and DEXPI -> their sheets; a list held against them
survey/       sheets of what hangs, to print and fill; read back; the order for the difference
register/     the register's folder: signed packs, surveys, rounds, the record for an audit
cli/          the commands: no logic, only doors
web/          the page: the same doors for a browser
"""
