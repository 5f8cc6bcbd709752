"""Group equal markers: plans and faces in, ``Marker`` with every position out.

``gather`` runs hops 2 and 3 over an order and joins markers that look and are built alike;
``positions`` numbers them as a crew walks an area; ``fingerprint`` identifies a face by its
geometry; ``revision`` matches two revisions of a list; ``spelled_texts`` finds texts that the
papers' typeface lacks characters for.
"""
