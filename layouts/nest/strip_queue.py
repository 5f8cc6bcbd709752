"""The order in which a roll's search offers its pieces, some of them taken."""


class Queue:
    """An order with some of its pieces taken; equal pieces go first come, first served."""

    def __init__(self, order: list[int], kinds: int, taken: set[int]) -> None:
        """`taken` are ranks in the order, `heads` the first rank left of each piece."""
        end = len(order)
        self.order = order
        self.heads = [end] * kinds
        self._nexts = [end] * end
        self._first = 0
        for n in range(end - 1, -1, -1):
            if n not in taken:
                self._nexts[n] = self.heads[order[n]]
                self.heads[order[n]] = n

    def take(self, rank: int) -> None:
        """Take the piece at a rank, the first left of its kind."""
        self.heads[self.order[rank]] = self._nexts[rank]

    def first(self) -> int:
        """The first rank left; the order's length when all are taken."""
        order, heads, n = self.order, self.heads, self._first
        while n < len(order) and n < heads[order[n]]:
            n += 1
        self._first = n
        return n

    def rest(self) -> list[int]:
        """The pieces left."""
        first = self.first()
        return [i for n, i in enumerate(self.order[first:], first) if n >= self.heads[i]]
