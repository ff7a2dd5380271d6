"""Every picture there is, and how it becomes a file. Each is drawn from an answer's records alone."""

from collections.abc import Callable

from matplotlib.figure import Figure

from ballast.records.plan import Answer
from ballast.showing.bands_view import bands_view
from ballast.showing.curve import curve_view
from ballast.showing.fuel_view import fuel_view
from ballast.showing.plan_view import plan_view
from ballast.showing.rendering import rendered
from ballast.showing.side_view import side_view

__all__ = ["VIEWS", "bands_view", "curve_view", "fuel_view", "plan_view", "rendered", "side_view"]

VIEWS: dict[str, Callable[[Answer], Figure | None]] = {
    "plan": plan_view,
    "side": side_view,
    "bands": bands_view,
    "fuel": fuel_view,
    "curve": curve_view,
}
"""By what they show. None where there is nothing to draw: no height for the side, no burning for the fuel."""
