"""The page: the same jobs as the commands, in a browser. It holds no logic of the job.

app.py         the application: its areas, and what guards them
settings.py    settings that a server starts with
server.py      address, token, browser: how ``pipelegend web`` serves the application
security.py    who may ask: hosts, origins, tokens; what a browser may load
problems.py    every error as a sentence, for people and (RFC 9457) for programs
language.py    the words of the page, one folder of catalogs per language
page.py        templates, and the response of a view

marker_*.py    one marker: fields, form, preview; round_view.py: on its pipe
shop_form.py   the shop's file as a form; page_sketch.py: where a print file fails
children.py    work in child processes: child.py, tasks.py, making.py, checking.py, store.py
uploads.py     uploads, limited while they stream; list_rows.py, edits.py: correcting a list

survey_answers.py, walking.py, survey_page.py  a survey on the phone, answer by answer

*_views.py     one area each; ``app.py`` lists the ``routes()`` of each
"""
