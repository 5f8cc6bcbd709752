"""What hangs: the answers of a survey in, what to leave, replace, add and remove out.

``sightings`` holds what a surveyor may write, ``agreement`` whether several of them contradict
each other, ``outcome`` what follows for each piece, with the questions for the P&ID and the list.
"""
