"""The page: the jobs of the commands for whoever has no command line. A door, no logic.

app.py         the application: which areas there are, and what guards them
settings.py    what a server is started with
server.py      address, token, browser: how ``pipelegend web`` serves the application
security.py    who may ask: hosts, origins, tokens; what a browser may load
problems.py    every error as a sentence, for people and (RFC 9457) for programs
language.py    the words of the page, one folder of catalogs a language
page.py        templates, and the answer that a view gives

*_views.py     one area each, with ``routes()``: home, marker, shop, list, api
"""
