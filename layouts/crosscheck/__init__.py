"""A list checked against its drawings: what is on one but not on the other.

    drawn         what a reader of drawings hands over: sheets with texts, or with named things
    line_number   ``4"-HPL-101-A1A`` taken apart into size, service, number and class
    tag_forms     the forms of the plant's own tags, and where they occur in a drawing's texts
    listed        the tags, machines and lines of an order, with their rows
    matching      both sides matched: equal, near, or missing on one side
    verdict       what is reported about the match, as findings

Nothing is guessed: a name that nearly matches is suggested, never accepted as the other.
"""
