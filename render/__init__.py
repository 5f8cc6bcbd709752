"""Reads and writes: every file, every command. Imports ``layouts``, never the reverse.

job.py        build: the only place that names all six hops, in order (see ``layouts``)
decide.py     hops 2 and 3, which every command shares, light to load
lists.py      check and order, for the commands, the page and Python
one_marker.py one marker from its words, for the same three
draw.py       the drawing of one marker
options.py    the options that a command adds to an order, read once
processes.py  independent work shared among the machine's cores

files/        files and folders written completely or not at all; numbers; workbooks
read/         hop 1: lists, workbooks, order files, schemes, fonts -> typed values
shop/         the shop's file, prices and offcuts -> Shop
color/        profiles, gamut, readings: how a printer reproduces the inks
write/        hop 6: Document -> PDF, SVG, DXF, PNG; tables; the papers of a job
preflight/    judges any PDF, ours or not; independent of write/
folder/       job folders after the job: approvals, reprints, comparisons
drawings/     P&IDs as PDF, DXF, tables and DEXPI -> their sheets; a list checked against them
survey/       survey sheets to print and fill in; reads them back; orders the difference
batch/        many orders at once: in processes of this machine, or on a cluster
register/     the register's folder: signed packs, surveys, rounds, the record for an audit
cli/          the commands: options and messages only, no logic
web/          the page: the same jobs in a browser
"""
