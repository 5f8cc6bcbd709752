"""Many orders at once: each in its own process and its own folder, whole or absent.

orders_found.py  files and folders -> orders with safe, unique names
one_order.py     a task -> its job folder and what is counted of it; the same code everywhere
made_from.py     what a folder was made from, so that a finished order is kept
apart.py         a task in a child process; order_child.py is that process
fitting.py       how many processes fit the machine
local_run.py     tasks on this machine
cluster_run.py   tasks on the workers of a Dask scheduler
batch_run.py     run_batch: finds, keeps, runs and counts
batch_table.py   what it came to, as CSV
"""
