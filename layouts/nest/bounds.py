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

    `worths` is a plate's most value, for rolls a micrometer's.
    """
    costs: list[Fraction] = []
    counts: list[int] = []
    for plate, worth in zip(job.plates, worths, strict=True):
        if worth <= 0 or plate.height <= 0:
            continue
        share = Fraction(total, worth)
        if plate.roll:
            frames = up(share / plate.height)
            counts.append(frames)
            costs.append((share + frames * plate.overhead) * plate.cost)
        else:
            counts.append(up(share))
            costs.append(share * plate.cost)
    cost = up(min(costs, default=Fraction(0)))
    length = 0
    if job.is_roll:
        length = up(Fraction(cost, max(1, max(p.cost for p in job.plates))))
    return Bound(kind, min(counts, default=0), length, cost, duals, scale, unit_um)


def up(value: Fraction) -> int:
    """Rounded up, exactly."""
    return -(-value.numerator // value.denominator)
