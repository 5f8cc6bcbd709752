"""How it is written: all reading and writing of files, and the commands.

``render`` imports ``layouts``, never the other way.
"""
