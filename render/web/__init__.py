"""The page: the jobs of the commands for whoever has no command line. A door, no logic.

app.py         the application: which areas there are, and what guards them
settings.py    what a server is started with
server.py      address, token, browser: how ``pipelegend web`` serves the application
security.py    who may ask: hosts, origins, tokens; what a browser may load
problems.py    every error as a sentence, for people and (RFC 9457) for programs
language.py    the words of the page, one folder of catalogs a language
page.py        templates, and the answer that a view gives

marker_*.py    one marker: fields, form, what is shown of it; round_view.py: on its pipe
shop_form.py   the shop's file as a form; page_sketch.py: where a print file fails
children.py    work in child processes: child.py, tasks.py, making.py, checking.py, store.py
uploads.py     what comes in, limited while it streams; list_rows.py, edits.py: a list fixed

survey_answers.py, walking.py, survey_page.py  a survey on the phone, answer by answer

*_views.py     one area each, with ``routes()``, which ``app.py`` lists
"""
