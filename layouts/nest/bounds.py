"""Proven minima that hold for any packing."""

from fractions import Fraction

from layouts.nest.job import Job
from layouts.nest.model import Bound


def disc_area(diameter: int) -> int:
    """Room that even the densest disc packing takes for one disc: sqrt(12)/4 d^2, rounded down.

    Source: L. Fejes Toth, 1940 (hexagonal packing is the densest).
    """
    return diameter * diameter * 866_025 // 1_000_000


def area_bound(job: Job) -> Bound:
    """The pieces' grown area against that of the stock that is cheapest for its area."""
    total = sum(
        d * (disc_area(w) if round_ else w * h)
        for d, w, h, round_ in zip(job.demands, job.widths, job.heights, job.rounds, strict=True)
    )
    return bound_from(
        job, "area", total, [p.width * (1 if p.roll else p.height) for p in job.plates]
    )


def bound_from(
    job: Job,
    kind: str,
    total: int,
    worths: list[int],
    duals: tuple[int, ...] = (),
    scale: int = 1,
    unit_um: int = 1,
) -> Bound:
    """The bound that follows from the pieces' total value and each plate's most.

    `worths` is a plate's most value, for rolls a micrometer's. Over several plates the count of
    sheets holds for any mix of them, and no plate is counted oftener than there is of it.
    """
    offers = [
        (plate, worth)
        for plate, worth in zip(job.plates, worths, strict=True)
        if worth > 0 and plate.height > 0
    ]
    if job.is_roll:
        frames = [up(Fraction(total, worth * plate.height)) for plate, worth in offers]
        lengths = [
            Fraction(total, worth) + count * plate.overhead
            for (plate, worth), count in zip(offers, frames, strict=True)
        ]
        costs = [length * plate.cost for (plate, _), length in zip(offers, lengths, strict=True)]
        cost = up(min(costs, default=Fraction(0)))
        length = up(Fraction(cost, max(1, max(plate.cost for plate in job.plates))))
        return Bound(kind, min(frames, default=0), length, cost, duals, scale, unit_um)
    cost = up(_least(total, [(worth, plate.cost, plate.limit) for plate, worth in offers]))
    sheets = up(_least(total, [(worth, 1, plate.limit) for plate, worth in offers]))
    return Bound(kind, sheets, 0, cost, duals, scale, unit_um)


def _least(total: int, offers: list[tuple[int, int, int | None]]) -> Fraction:
    """Least price of a value from offers of a value at a price, each so often at most."""
    rest, price = Fraction(total), Fraction(0)
    for worth, each, limit in sorted(offers, key=lambda offer: Fraction(offer[1], offer[0])):
        times = rest / worth if limit is None else min(rest / worth, Fraction(limit))
        rest -= times * worth
        price += times * each
    return price


def up(value: Fraction) -> int:
    """Rounded up, exactly."""
    return -(-value.numerator // value.denominator)
