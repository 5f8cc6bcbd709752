"""Survey of installed markers: answers in; what to leave, replace, add and remove out.

``sightings`` holds what a surveyor may write, ``agreement`` checks whether several of them
contradict each other, ``outcome`` decides what to do with each piece and lists the questions for
the P&ID and the list.
"""
