"""What is known of the pads before anything stands on them: their steps, stated errors, and legal error limits."""

import numpy as np
from numpy.typing import ArrayLike

from ballast.physics.statics import Array

CLASS_III = ((500, 0.5), (2_000, 1.0), (10_000, 1.5))
"""Up to so many verification intervals e: the greatest error, in e, at verification. Source: `class_iii_error`."""

HAIR = 1e-9
"""Share by which a load may exceed the end of a band and still be on it: units are converted in binary."""


def pad_covariance(
    loads: ArrayLike,
    resolution: ArrayLike,
    accuracy: ArrayLike = 0.0,
    gain: float = 0.0,
    corrections: ArrayLike | None = None,
) -> Array:
    """Covariance of corner loads from the pads themselves, which settlings cannot show.

    loads : (4,) [kg]; resolution : smallest step d of each pad, u = d / sqrt 12 [kg]; accuracy : greatest error a
    stated for each pad, u = a / sqrt 3 [kg]; both scalar or (4,), independent from pad to pad; gain : standard
    uncertainty of a factor that all pads share [-], which scales the total and leaves the percentages alone;
    corrections : (k, 4), what corrections made to the readings may still be off, one standard uncertainty of each of k
    independent causes [kg].
    Returns (4, 4). [kg2]
    Source: JCGM 100:2008, 4.3.7 (rectangular) and F.2.2.1 (resolution).
    """
    mean = np.asarray(loads, dtype=float)
    own = np.square(np.asarray(resolution, dtype=float)) / 12 + np.square(np.asarray(accuracy, dtype=float)) / 3
    still = np.zeros((0, 4)) if corrections is None else np.asarray(corrections, dtype=float).reshape(-1, 4)
    return np.asarray(np.diag(np.broadcast_to(own, mean.shape)) + gain**2 * np.outer(mean, mean) + still.T @ still)


def class_iii_error(load: ArrayLike, interval: float, in_service: bool = False) -> Array:
    """Greatest error that the law permits a weighing instrument of accuracy class III, either way.

    load : net load on the instrument, any shape (...) [kg]; interval : verification scale interval e [kg];
    in_service : an instrument in use may be off by twice as much as one put before the inspector.
    Returns shape (...). [kg]
    On the end of a band, where two limits meet, the tighter. Raises ValueError for an interval or a load that no such
    instrument has: e not above 0, a load below 0 or above 10,000 e.
    The limit is for the load without the rounding of the display: the resolution is an uncertainty of its own. Corner
    pads are seldom verified at all; the limits are then a name for an assumption, not a property of the pads.
    Source: OIML R 76-1, 3.5.1 and 3.5.2, as enacted in UK SI 1995/1907, schedule 2, paragraph 4.
    """
    if interval <= 0:
        raise ValueError(f"a verification interval of {interval} kg is not above 0")
    loads = np.asarray(load, dtype=float)
    most = CLASS_III[-1][0] * interval
    if (loads < 0).any() or (loads > most * (1 + HAIR)).any():
        raise ValueError(f"class III with e = {interval} kg weighs from 0 to {most} kg")
    ends, limits = np.array(CLASS_III).T
    band = np.searchsorted(ends * interval * (1 + HAIR), loads, side="left")
    return np.asarray((2 if in_service else 1) * limits[band] * interval)
