"""What denser plates save: by hand, and against the height of a whole list of plates."""

import numpy as np
import pytest

from ballast.physics.density import DENSITY, lowered
from ballast.physics.statics import height_after


def test_two_steel_plates_in_lead_by_hand() -> None:
    """Two plates of 10 kg and 32 mm in a car of 1,108 kg, steel 7.85 and lead 11.34 g/cm3 (CRC Handbook, from memory).

    64 mm become 64 x 7.85 / 11.34 = 44.303 mm; their middle falls by 9.848 mm, the car's by 20 / 1108 of it: 0.178 mm.
    """
    found = lowered([[2]], [10.0], [0.032], [DENSITY["steel"] / DENSITY["lead"]], 1108.0)
    assert found.stacks == pytest.approx([0.064])
    assert found.then == pytest.approx([0.044303], abs=1e-6)
    assert found.by == pytest.approx(0.17777e-3, abs=1e-8)


def test_a_plate_on_top_falls_by_what_lies_beneath() -> None:
    """One plate of 4 kg and 20 mm, half as thick when denser, under one of 6 kg and 10 mm that stays as it is.

    The lower one's middle falls by 5 mm, the upper one's by 10 mm: (4 x 5 + 6 x 10) / 100 = 0.8 mm of 100 kg.
    """
    found = lowered([[1, 1]], [4.0, 6.0], [0.02, 0.01], [0.5, 1.0], 100.0)
    assert found.by == pytest.approx(0.8e-3)
    assert found.then == pytest.approx([0.02])


def test_the_saving_is_the_difference_of_two_heights() -> None:
    """Plates listed one by one at their own heights, steel and then tungsten alloy: the car by first moments."""
    dice = np.random.default_rng(4)
    counts, masses, thick = dice.integers(0, 4, (3, 2)), np.array([5.0, 2.0]), np.array([0.016, 0.012])
    undersides, ratio = np.array([0.16, 0.2, 0.33]), DENSITY["steel"] / DENSITY["tungsten alloy"]

    def height(scale: float) -> float:
        listed, up = [], []
        for row, under in zip(counts, undersides, strict=True):
            top = float(under)
            for plate in (0, 1):
                for _ in range(int(row[plate])):
                    listed.append(masses[plate])
                    up.append(top + scale * thick[plate] / 2)
                    top += scale * thick[plate]
        return height_after(1000.0, 0.45, listed, up)

    total = 1000.0 + float((counts @ masses).sum())
    assert lowered(counts, masses, thick, [ratio, ratio], total).by == pytest.approx(height(1.0) - height(ratio))


def test_densities_are_where_tables_have_them() -> None:
    """Printed ranges, from memory: EN 1991-1-1, table A.4, kN/m3 rounded to 2 %; ASTM B777, class 1, g/cm3."""
    for material, low, high in (
        ("aluminium", 27.0, 27.0),
        ("zinc", 71.0, 72.0),
        ("iron", 71.0, 72.5),
        ("steel", 77.0, 78.5),
        ("brass", 83.0, 85.0),
        ("copper", 87.0, 89.0),
        ("lead", 112.0, 114.0),
    ):
        assert 0.98 * low <= DENSITY[material] * 9.80665e-3 <= 1.02 * high
    assert 16_850 <= DENSITY["tungsten alloy"] <= 17_250
