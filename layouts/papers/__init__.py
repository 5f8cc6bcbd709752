"""The papers that people read, as Documents: an order with its markers and sheets in, pages out.

``proof`` to approve, ``ticket`` for the shop, ``packs`` for the crew, ``chart`` and
``valve_chart`` for the wall, ``materials`` to buy, ``changes`` between two revisions,
``color_target`` to measure; ``kit`` holds the parts of their pages.
"""
