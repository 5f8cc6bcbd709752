"""Equal markers together: plans and faces in, ``Marker`` with every position out.

``gather`` runs hops 2 and 3 over an order and joins what looks and is built alike; ``positions``
numbers them as a crew walks an area; ``fingerprint`` knows a face by its geometry; ``revision``
matches two revisions of a list.
"""
