"""How large a share may be, given so many in so many: the exact bounds of Clopper and Pearson (1934), with
the standard library alone.

Each bound is where the sum of binomial chances reaches the level; that sum is a regularised incomplete beta
function, computed as the continued fraction of DLMF 8.17.22 by the modified method of Lentz.
"""

from math import exp, inf, lgamma, log, log1p

# Where the continued fraction is called converged, and what stands for nothing in a denominator.
EPSILON, TINY = 1e-15, 1e-300
MOST_STEPS = 10_000
# Halvings of the interval from 0 to 1: beyond the last digit of a float.
HALVINGS = 200


def upper_bound(count: int, of: int, level: float) -> float:
    """The share that is passed in truth with a chance of no more than 1 - level: one-sided, from 0 to 1.

    With a count of 0 about 3/of at a level of 0.95, the rule of three. Raises ValueError.
    """
    _check(count, of, level)
    return 1.0 if count == of else _quantile(level, count + 1, of - count)


def lower_bound(count: int, of: int, level: float) -> float:
    """The same from below. Raises ValueError."""
    _check(count, of, level)
    return 0.0 if count == 0 else _quantile(1 - level, count, of - count + 1)


def interval(count: int, of: int, level: float) -> tuple[float, float]:
    """Two-sided: half of what is left lies beyond either end. Raises ValueError."""
    each = 1 - (1 - level) / 2
    return lower_bound(count, of, each), upper_bound(count, of, each)


def incomplete_beta(x: float, a: float, b: float) -> float:
    """I_x(a, b), regularised, for a, b > 0. Raises ValueError for an x outside of 0 to 1."""
    if not 0 <= x <= 1:
        raise ValueError("x must lie from 0 to 1")
    if x in (0, 1):
        return float(x)
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(1 - x, b, a)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    return front * _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    found = c = 1.0
    d = 0.0
    for step in range(1, MOST_STEPS):
        part = _coefficient(step, x, a, b)
        d = 1 / (1 + part * d or TINY)
        c = 1 + part / c or TINY
        found *= c * d
        if abs(c * d - 1) < EPSILON:
            break
    return 1 / found


def _coefficient(step: int, x: float, a: float, b: float) -> float:
    m = step // 2
    if step % 2 == 0:
        return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
    return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))


def _quantile(share: float, a: float, b: float) -> float:
    """The x at which I_x(a, b) is `share`, by halving."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if incomplete_beta(middle, a, b) < share else (low, middle)
    return (low + high) / 2


def _check(count: int, of: int, level: float) -> None:
    if not (0 <= count <= of and 0 < of < inf):
        raise ValueError(f"{count} of {of} is no share: the count goes from 0 to the number it is out of")
    if not 0 < level < 1:
        raise ValueError("the level lies between 0 and 1")
