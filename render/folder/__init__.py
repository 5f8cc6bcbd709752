"""Job folders after the job: ``open`` reads one back, ``approval`` records who approved its proof,
``compare`` lists the differences between two revisions, ``reprint`` remakes some of its markers.
"""
