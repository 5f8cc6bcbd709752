"""Job folders after the job: ``open`` reads one back, ``approval`` records who approved its proof,
``compare`` tells two revisions apart, ``reprint`` makes some of its markers again.
"""
