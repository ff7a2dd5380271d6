"""Error limits of a class III weighing instrument.

Source: OIML R 76-1, Non-automatic weighing instruments, maximum permissible errors, as enacted in the Non-automatic
Weighing Instruments (EEC Requirements) Regulations 1995 (UK SI 1995/1907), schedule 2, paragraph 4 (REF-F2). The
enacted text was read; the clause numbers of R 76 are from memory.

    load, in verification intervals e        at verification      in service
      up to    500                              0.5 e                1 e
      above    500 to  2,000                    1.0 e                2 e
      above  2,000 to 10,000                    1.5 e                3 e

At exactly 500 e (and 2,000 e) two printed bands meet: the tighter counts. e = 0.5 kg: 250 kg is 500 e, 1,000 kg is
2,000 e, 5,000 kg is 10,000 e.
"""

import math

import numpy as np
import pytest

from ballast.physics.instruments import class_iii_error, pad_covariance

INTERVAL = 0.5
"""e [kg]"""
EXACT = 1e-12

WORKED = [
    (0.0, 0.25),
    (249.5, 0.25),
    (250.0, 0.25),
    (250.5, 0.5),
    (251.0, 0.5),
    (999.5, 0.5),
    (1_000.0, 0.5),
    (1_000.5, 0.75),
    (1_001.0, 0.75),
    (5_000.0, 0.75),
]
"""Load and error limit at verification, e = 0.5 kg. [kg]"""


@pytest.mark.parametrize(("load", "limit"), WORKED)
def test_worked_loads(load: float, limit: float) -> None:
    """VERIFIED bands, DERIVED values for e = 0.5 kg; in service twice as much."""
    assert float(class_iii_error(load, INTERVAL)) == pytest.approx(limit, abs=EXACT)
    assert float(class_iii_error(load, INTERVAL, in_service=True)) == pytest.approx(2 * limit, abs=EXACT)


def test_many_loads_at_once() -> None:
    """An array of loads gives an array of limits of its shape, the same as one by one."""
    loads, limits = np.array(WORKED).T.reshape(2, 2, 5)
    assert class_iii_error(loads, INTERVAL) == pytest.approx(limits, abs=EXACT)
    assert class_iii_error(loads, INTERVAL).shape == (2, 5)


@pytest.mark.parametrize("interval", [0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 1.0, 0.5 * 0.45359237, 0.1 * 0.45359237])
@pytest.mark.parametrize(("count", "limit"), [(500, 0.5), (2_000, 1.0), (10_000, 1.5)])
def test_the_ends_of_the_bands_for_any_interval(interval: float, count: int, limit: float) -> None:
    """VERIFIED bands: a load of exactly so many intervals, added up in kg or lb, has the tighter of two limits."""
    for load in (count * interval, count / (1 / interval), sum([interval] * count)):
        assert float(class_iii_error(load, interval)) == pytest.approx(limit * interval, rel=1e-9)


@pytest.mark.parametrize(("count", "limit"), [(500, 1.0), (2_000, 1.5)])
def test_just_above_a_band_is_the_next(count: int, limit: float) -> None:
    """VERIFIED bands: a thousandth of an interval above the end counts as above."""
    assert float(class_iii_error((count + 0.001) * INTERVAL, INTERVAL)) == pytest.approx(limit * INTERVAL, abs=EXACT)


@pytest.mark.parametrize("load", [-0.5, 5_000.5, 12_000.0, [250.0, 5_001.0]])
def test_loads_no_such_instrument_weighs(load: float | list[float]) -> None:
    """Above 10,000 e no limit is printed, and below nothing there is no load: refused, with the range in kg."""
    with pytest.raises(ValueError, match=r"e = 0\.5 kg weighs from 0 to 5000\.0 kg"):
        class_iii_error(load, INTERVAL)


@pytest.mark.parametrize("interval", [0.0, -0.5])
def test_intervals_no_instrument_has(interval: float) -> None:
    """An interval is above 0."""
    with pytest.raises(ValueError, match="is not above 0"):
        class_iii_error(250.0, interval)


def test_the_standard_uncertainty_of_a_limit() -> None:
    """JCGM 100:2008, 4.3.7 (clause from memory): a rectangular error within +/-0.5 kg has u = 0.5 / sqrt 3 = 0.2887."""
    loads = np.full(4, 1_000.0)
    for in_service, wanted in ((False, 0.288675), (True, 0.577350)):
        covariance = pad_covariance(loads, 0.0, class_iii_error(loads, INTERVAL, in_service))
        assert np.sqrt(np.diag(covariance)) == pytest.approx(wanted, abs=1e-6)


def test_the_limits_as_the_stated_accuracy_of_pads() -> None:
    """DERIVED: 320, 300, 240, 230 kg on pads of e = d = 0.5 kg in service: 1.0, 1.0, 0.5, 0.5 kg, display apart.

    u^2 = 0.25/12 + 1/3 = 0.35417 kg2 for the front pads, 0.25/12 + 0.25/3 = 0.10417 kg2 for the rear ones;
    the total of the four is uncertain by sqrt(2 x 0.35417 + 2 x 0.10417) = 0.95743 kg.
    """
    loads = np.array([320.0, 300.0, 240.0, 230.0])
    covariance = pad_covariance(loads, INTERVAL, class_iii_error(loads, INTERVAL, in_service=True))
    assert np.diag(covariance) == pytest.approx([0.354167, 0.354167, 0.104167, 0.104167], abs=1e-6)
    assert math.sqrt(covariance.sum()) == pytest.approx(0.957427, abs=1e-6)
