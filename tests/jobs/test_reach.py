"""Where the ballast has to be, and where a mount is wanting: put to the test by standing the masses there."""

from pathlib import Path

import numpy as np
import pytest

from ballast.jobs.plan import plan
from ballast.physics.statics import contact_patches, front_share, left_share, stand
from ballast.records.files import read_question

EXAMPLE = Path(__file__).parents[2] / "examples" / "circuit-saloon"


def test_ballast_at_the_place_needed_hits_the_aims() -> None:
    """All the ballast at one point, where the plan says its centre has to be: front 54 % and left 50 % exactly."""
    question = read_question(EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "rulebook.toml")
    reach = plan(question).plan.reach
    assert reach is not None
    weighed = np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0)
    place = np.array([reach.needed.behind_front_axle, reach.needed.left_of_centre], dtype=float)
    loads = weighed + stand(contact_patches(2.48, 1.465, 1.44), 0.58, [reach.mass], place)
    assert front_share(loads) == pytest.approx(0.54)
    assert left_share(loads) == pytest.approx(0.50)


def test_a_new_mount_where_it_is_wanting_hits_the_aims() -> None:
    """The heaviest stack on the new mount, the rest as planned: front 54 % and left 50 % exactly."""
    question = read_question(EXAMPLE / "car.toml", EXAMPLE / "weigh-in.toml", EXAMPLE / "rulebook.toml")
    answer = plan(question).plan
    new = answer.new_mount
    assert new is not None
    mass = {plate.name: plate.mass for plate in question.car.plates}
    masses, places = [], []
    for mount in question.car.mounts:
        here = sum(mass[row.plate] * row.count for row in answer.fit if row.mount == mount.name)
        masses.append(here + (mount.fixing_mass if here else 0.0))
        moved = mount.name == new.taken_from
        aft = new.behind_front_axle if moved else mount.behind_front_axle
        places.append([aft, new.left_of_centre if moved else mount.left_of_centre])
    weighed = np.mean([reading.in_order() for reading in question.weigh_in.readings], axis=0)
    loads = weighed + stand(contact_patches(2.48, 1.465, 1.44), 0.58, masses, places)
    assert front_share(loads) == pytest.approx(0.54)
    assert left_share(loads) == pytest.approx(0.50)
