"""What the command line asks of an order beyond its file: stocks, offcuts, filling of sheets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from layouts.order.order import Order
from layouts.terms.words import LongParts, Together
from render.judge import Options
from render.offcuts import with_offcuts


@dataclass(frozen=True, slots=True)
class Wishes:
    """Stocks by key or group and words of the order's own; empty: as the order says."""

    film: str = ""
    plate: str = ""
    tag: str = ""
    keep_together: str = ""
    long_parts: str = ""
    offcuts: tuple[str, ...] = ()


def wished(order: Order, options: Options, wishes: Wishes) -> tuple[Order, Options]:
    """The order and its options with the wishes in the place of what they said.

    Raises:
        InputError: an offcut is none.
    """
    asked = {"film": wishes.film, "plate": wishes.plate, "tag": wishes.tag}
    stocks = order.stocks.model_copy(update={key: name for key, name in asked.items() if name})
    words: dict[str, object] = {"stocks": stocks}
    if wishes.keep_together:
        words["keep_together"] = Together(wishes.keep_together)
    if wishes.long_parts:
        words["long_parts"] = LongParts(wishes.long_parts)
    wanted = order.model_copy(update=words)
    return wanted, replace(options, shop=with_offcuts(options.shop, wanted, wishes.offcuts))
