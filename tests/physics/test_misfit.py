"""Chances of a misfit against scipy and printed tables; uncertainties that may be taken as independent."""

import math

import numpy as np
import pytest
from scipy.stats import chi2, f

from ballast.physics import misfit


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 7, 10])
@pytest.mark.parametrize("value", [0.0, 0.1, 1.0, 5.99, 12.0, 60.0])
def test_chances_are_those_of_scipy(degrees: int, value: float) -> None:
    """scipy.stats, upper tails of F and, for a scatter taken as certain, of chi-square nearly enough."""
    for known in (1, 2, 5, 14, 60):
        expected = f.sf(value / degrees, degrees, known)
        assert misfit.chance_of(value, degrees, known) == pytest.approx(expected, rel=1e-9, abs=1e-15)
    assert misfit.chance_of(value, degrees, 0) == pytest.approx(chi2.sf(value, degrees), abs=2e-3)


def test_chances_are_those_of_printed_tables() -> None:
    """5 % points every table has: F of 2 and 10 is 4.10, of 1 and 5 is 6.61; chi-square of 2 is 5.991."""
    assert misfit.chance_of(2 * 4.1028, 2, 10) == pytest.approx(0.05, abs=1e-5)
    assert misfit.chance_of(6.6079, 1, 5) == pytest.approx(0.05, abs=1e-5)
    assert misfit.chance_of(5.991, 2, 0) == pytest.approx(0.05, abs=5e-4)


def test_independent_uncertainties_never_make_less() -> None:
    """Of 200 random covariances and 200 sums each, no sum gets less than it has, and no number over sqrt 3 times."""
    rng = np.random.default_rng(5)
    for _ in range(200):
        root = rng.standard_normal((3, 3))
        covariance = root @ root.T
        sums = rng.standard_normal((200, 3))
        alone = misfit.never_less(covariance)
        have = np.einsum("ij,jk,ik->i", sums, covariance, sums)
        assert np.all(np.square(sums) @ np.square(alone) >= have - 1e-9)
        assert np.all(alone <= math.sqrt(3) * np.sqrt(np.diag(covariance)) + 1e-9)
    assert misfit.never_less(np.diag([1.0, 4.0])) == pytest.approx([1, 2])
    assert misfit.never_less(np.zeros((2, 2))) == pytest.approx([0, 0])
