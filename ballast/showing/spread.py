"""Things in a row that want to be at places too near to each other."""

from collections.abc import Sequence


def spread(wanted: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """Places nearest to the wanted ones, in their order, at least `least` apart and from `low` to `high`.

    Where there is not room enough, they end beyond `high`. Nearest by least squares: neighbours that would be too near
    are pooled, and the pools then kept inside.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    pools: list[tuple[float, list[int]]] = []
    for rank, index in enumerate(order):
        pools.append((wanted[index] - rank * least, [index]))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, members), (other, more) = pools[-2:]
            mean = (one * len(members) + other * len(more)) / (len(members) + len(more))
            pools[-2:] = [(mean, members + more)]
    furthest = max(high - (len(order) - 1) * least, low)
    levels = {index: min(max(level, low), furthest) for level, members in pools for index in members}
    places = [0.0] * len(wanted)
    for rank, index in enumerate(order):
        places[index] = levels[index] + rank * least
    return places
