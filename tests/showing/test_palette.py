"""Readable in black and white and by colour-blind people: contrasts by formula, and marks that differ without colour.

Contrast: W3C, Web Content Accessibility Guidelines 2.1, definitions of relative luminance and contrast ratio, success
criteria 1.4.3 (text, 4.5 to 1) and 1.4.11 (what has to be seen to understand a picture, 3 to 1).
Colour blindness: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for simulation of
color vision deficiency", IEEE Trans. Vis. Comput. Graph. 15 (2009) 1291, matrices for severity 1.0 on linear RGB (from
memory; each row adds up to one, so that greys stay grey).
"""

from itertools import combinations

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from ballast.showing import marks
from ballast.showing.from_above import HARDWARE, NEW, STAYING
from ballast.showing.fuel_view import LINES
from ballast.showing.marks import FAINT, GUARDED, INK, PAPER, PLANNED, QUIET, REACHED, SHADE, WANTED, Mark

PROTANOPE = np.array(
    [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ]
)
DEUTERANOPE = np.array(
    [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ]
)
EVERYBODY = np.eye(3)
EYES = {"everybody": EVERYBODY, "protanopes": PROTANOPE, "deuteranopes": DEUTERANOPE}
TEXTS = (INK, QUIET, PLANNED, WANTED)
GROUNDS = (PAPER, SHADE, GUARDED, REACHED)
"""What text and marks stand on: paper, body, tolerance, reach."""


def linear(colour: str) -> np.ndarray:
    """Linear red, green, blue of an sRGB colour. Source: WCAG 2.1, relative luminance."""
    parts = np.array(to_rgb(colour))
    return np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def luminance(colour: str, eyes: np.ndarray = EVERYBODY) -> float:
    """Relative luminance as those eyes see it."""
    return float(np.clip(eyes @ linear(colour), 0.0, 1.0) @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str, eyes: np.ndarray = EVERYBODY) -> float:
    """From 1 to 21."""
    low, high = sorted((luminance(one, eyes), luminance(other, eyes)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_known_contrasts() -> None:
    """Black on white is 21 to 1; #777777 on white is 4.48 to 1 and famously just fails. Source: WCAG 2.1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
    for matrix in (PROTANOPE, DEUTERANOPE):
        assert matrix.sum(axis=1) == pytest.approx([1.0, 1.0, 1.0], abs=1e-5)


@pytest.mark.parametrize("eyes", EYES)
@pytest.mark.parametrize("ink", TEXTS)
def test_text_stands_out_from_what_it_lies_on(ink: str, eyes: str) -> None:
    """Every colour of letters on paper, body and both tints: 4.5 to 1, for colour-blind eyes too."""
    for ground in GROUNDS:
        assert contrast(ink, ground, EYES[eyes]) >= 4.5, ground


@pytest.mark.parametrize("eyes", EYES)
def test_lines_and_marks_stand_out_from_what_they_lie_on(eyes: str) -> None:
    """Nothing that carries meaning is drawn in FAINT, which has 2 to 1 and is for rules and leaders."""
    assert contrast(FAINT, PAPER, EYES[eyes]) < 3.0 <= min(contrast(ink, SHADE, EYES[eyes]) for ink in TEXTS)
    seen = [mark for mark in vars(marks).values() if isinstance(mark, Mark)]
    assert len(seen) >= 12
    assert all(mark.edge != FAINT or mark.face != PAPER for mark in seen)


@pytest.mark.parametrize("eyes", EYES)
def test_plates_put_on_and_plates_that_stay_differ_in_lightness(eyes: str) -> None:
    """Beside each other in one strip: 3 to 1 between new and staying ones, and with the hardware."""
    assert contrast(NEW.face, STAYING.face, EYES[eyes]) >= 3.0
    assert contrast(HARDWARE.face, STAYING.face, EYES[eyes]) >= 3.0


@pytest.mark.parametrize("eyes", ["protanopes", "deuteranopes"])
def test_the_colour_of_the_plan_is_not_that_of_the_wish(eyes: str) -> None:
    """What is planned and what is wanted stay apart for colour-blind eyes: 0.1 and more in linear red or blue."""
    matrix = EYES[eyes]
    apart = np.abs(matrix @ linear(PLANNED) - matrix @ linear(WANTED))
    assert float(apart.max()) >= 0.1


def look(mark: Mark) -> tuple[object, bool, float]:
    """What is left of a mark in black and white: its shape, whether it is dark inside, its size."""
    shape = mark.shape if isinstance(mark.shape, str) else id(mark.shape)
    return shape, luminance(mark.face) < 0.5, mark.size


def test_marks_differ_without_their_colour() -> None:
    """No two marks of the car have one shape, one filling and sizes within a point; nor two drivers' lines."""
    seen = [mark for mark in vars(marks).values() if isinstance(mark, Mark)]
    for one, other in combinations(seen, 2):
        (shape, dark, size), (shape_2, dark_2, size_2) = look(one), look(other)
        assert (shape, dark) != (shape_2, dark_2) or abs(size - size_2) > 1.0, (one, other)
    assert len({look(mark)[:2] for mark, _ in LINES}) == len(LINES)
    assert len({dashes for _, dashes in LINES}) == len(LINES)
