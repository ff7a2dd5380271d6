"""Lists of alterations from weight-and-balance texts, put to `predict` as a car and a file of changes.

Sources: Pilot's Handbook of Aeronautical Knowledge, FAA-H-8083-25A, Federal Aviation Administration, 2008, chapter 9,
"Weight shifting" and Fig. 9-5 (REF-A1, REF-A2); Aviation Maintenance Technician Handbook - General, FAA-H-8083-30,
2008, chapter 4, Fig. 4-20 (REF-A3); two questions of the FAA aviation mechanic knowledge test, read on a study site
(REF-A5, REF-A7); a student pilots' teaching page, humbleaviation.com (REF-A8). Off the centre line there is no
publication: the loads follow from levers and from how roll stiffness divides, worked out apart (REF-C5).

An aeroplane on two pairs of pads is a car. Its wheelbase lies between two arms that the source gives or that are taken
here at will; the answer may not depend on them. What the source's own arithmetic is:

    A1  8,000 lb, 616,000 lb-in; 100 lb from 30 to 150:        628,000 / 8,000     = 78.5 in
    A2  2,100 lb at 78.3; 340 at 85, 350 at 121, 450 at 75, 80 at 150:   281,430 / 3,320  = 84.768 in, printed 84.8
    A3  1,502.5 lb, 82,925 lb-in; 177 lb of fuel out at 95, 6 lb in at 98:  66,698 / 1,331.5 = 50.09 in
    A5  4,954 lb at 30.5; 7,431 / 130 = 57.1615 lb in at 162:  brings it to 32.0 in
    A7  2,886 lb, 101,673.78 lb-in; 30 out and 97, 20 in at 71, 30 in at 94:  110,670.78 / 3,003 = 36.85 in
    A8  2,700 lb; 180 lb from 110 to 142:                      180 x 32 / 2,700    = 2.1333 in aft
"""

from dataclasses import dataclass
from pathlib import Path

import pytest

from ballast.jobs.predict import predict
from ballast.records.files import read_question
from ballast.records.predicted import Predicted
from tests.published.beam import POUND_INCH

Item = tuple[float, float]
"""lb, and inches from the source's datum"""


@dataclass(frozen=True)
class Altered:
    """One worked example: what stood on the scales, what was done, and what came of it. lb and inches."""

    total: float
    centre: float
    out: tuple[Item, ...] = ()
    put_in: tuple[Item, ...] = ()
    moved: tuple[tuple[float, float, float], ...] = ()
    """lb, from, to"""
    total_after: float = 0.0
    centre_after: float = 0.0
    printed_to: float = 0.005
    """half of the last digit the source prints [in]"""


EXAMPLES = {
    "REF-A1": Altered(8_000, 77.0, moved=((100, 30, 150),), total_after=8_000, centre_after=78.5),
    "REF-A2": Altered(
        2_100,
        78.3,
        put_in=((340, 85), (350, 121), (450, 75), (80, 150)),
        total_after=3_320,
        centre_after=84.8,
        printed_to=0.05,
    ),
    "REF-A3": Altered(
        1_502.5,
        82_925 / 1_502.5,
        out=((30 * 5.9, 95),),
        put_in=((6, 98),),
        total_after=1_331.5,
        centre_after=50.09,
        printed_to=0.01,
    ),
    "REF-A5": Altered(4_954, 30.5, put_in=((7_431 / 130, 162),), total_after=4_954 + 7_431 / 130, centre_after=32.0),
    "REF-A7": Altered(
        2_886,
        101_673.78 / 2_886,
        out=((15, 71), (15, 71)),
        put_in=((97, 71), (20, 71), (30, 94)),
        total_after=3_003,
        centre_after=36.85,
    ),
    "REF-A8": Altered(2_700, 120.0, moved=((180, 110, 142),), total_after=2_700, centre_after=120 + 2.1333),
}
AXLES = ((-30.0, 170.0), (0.0, 160.0))
"""Arms of the axles, taken at will: nothing in the examples says where they are. [in]"""
UNITS_LB = '[units]\nmass = "lb"\nlength = "in"\n'
UNITS_KG = '[units]\nmass = "kg"\nlength = "m"\n'
REST = """
[[mounts]]
name = "tray"
behind_front_axle = 1.0
left_of_centre = 0.5
capacity = 40
[[plates]]
name = "twenty"
mass = 20
count = 1
"""


def asked(folder: Path, car: str, weigh_in: str, changes: str) -> Predicted:
    """The prediction for three files, written and read like anybody's."""
    for name, text in (("car", car), ("weigh-in", weigh_in), ("changes", changes)):
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    paths = [folder / f"{name}.toml" for name in ("car", "weigh-in", "changes")]
    return predict(read_question(paths[0], paths[1], changed=paths[2]))


def altered(folder: Path, example: Altered, axles: tuple[float, float]) -> Predicted:
    """The prediction for an example: loads of the axles by the lever rule, half on each side."""
    front, rear = axles
    aft = example.total * (example.centre - front) / (rear - front)
    ahead = example.total - aft
    car = f'{UNITS_LB}[car]\nname = "a beam"\nwheelbase = {rear - front}\ntrack_front = 60\ntrack_rear = 50\n{REST}'
    weigh_in = f"{UNITS_LB}[weigh_in]\ndate = 2026-03-14\n[[readings]]\n"
    weigh_in += f"LF = {ahead / 2!r}\nRF = {ahead / 2!r}\nLR = {aft / 2!r}\nRR = {aft / 2!r}\n"

    def at(arm: float) -> str:
        return f"behind_front_axle = {arm - front}"

    changes = UNITS_LB
    for word, items in (("removed", example.out), ("added", example.put_in)):
        for mass, arm in items:
            changes += f'[[{word}]]\nname = "item"\nmass = {mass!r}\n{at(arm)}\nleft_of_centre = 0\n'
    for mass, start, end in example.moved:
        changes += f'[[moved]]\nname = "item"\nmass = {mass!r}\n'
        changes += f"from = {{ {at(start)}, left_of_centre = 0 }}\nto = {{ {at(end)}, left_of_centre = 0 }}\n"
    return asked(folder, car, weigh_in, changes)


@pytest.mark.parametrize("axles", AXLES)
@pytest.mark.parametrize("name", EXAMPLES)
def test_total_and_centre_after_the_alterations(name: str, axles: tuple[float, float], tmp_path: Path) -> None:
    """VERIFIED (A2, A3 in part from memory): total and centre come out as printed, wherever the axles are."""
    example = EXAMPLES[name]
    found = altered(tmp_path, example, axles)
    before, after = (case.centre_of_gravity.behind_front_axle for case in (found.before, found.after))
    assert POUND_INCH.outside(before, "length") + axles[0] == pytest.approx(example.centre, abs=1e-9)
    assert POUND_INCH.outside(found.after.total, "mass") == pytest.approx(example.total_after, abs=1e-9)
    centre = POUND_INCH.outside(after, "length") + axles[0]
    assert centre == pytest.approx(example.centre_after, abs=example.printed_to)
    assert found.after.centre_of_gravity.left_of_centre == pytest.approx(0, abs=1e-12)


def test_the_shift_of_the_alteration_list(tmp_path: Path) -> None:
    """VERIFIED: REF-A7 reports 1.62 in aft, 1.62341 unrounded."""
    found = altered(tmp_path, EXAMPLES["REF-A7"], AXLES[0])
    shift = found.after.centre_of_gravity.behind_front_axle - found.before.centre_of_gravity.behind_front_axle
    assert POUND_INCH.outside(shift, "length") == pytest.approx(1.62341, abs=5e-6)


OFF_CENTRE = {
    2 / 3: ((260.4444, 251.5556, 256.2222, 251.7778), 49.78214),
    1 / 2: ((259.3333, 252.6667, 257.3333, 250.6667), 50.0),
    1 / 3: ((258.2222, 253.7778, 258.4444, 249.5556), 50.21786),
}
"""REF-C5 by front share of roll stiffness: loads in kg, and RF+LR in percent."""
PART = '[[added]]\nname = "a part"\nmass = 20\nbehind_front_axle = 1.0\nleft_of_centre = 0.5\n'
PLATE = '[[placed]]\nmount = "tray"\nplate = "twenty"\ncount = 1\n'


@pytest.mark.parametrize("change", [PART, PLATE], ids=["a part", "a plate by hand"])
@pytest.mark.parametrize("share", OFF_CENTRE)
def test_twenty_kilograms_off_the_centre_line(share: float, change: str, tmp_path: Path) -> None:
    """DERIVED: REF-C5, as a part that is put on and as a plate that is placed by hand, to 1e-4 kg and points."""
    found = asked(tmp_path, four_pads(share), QUARTERS, UNITS_KG + change)
    loads, cross = OFF_CENTRE[share]
    after = found.after
    assert tuple(dict(after.corner_loads).values()) == pytest.approx(loads, abs=1e-4)
    assert 100 * after.front_percent == pytest.approx(50.19608, abs=1e-5)
    assert 100 * after.left_percent == pytest.approx(50.65359, abs=1e-5)
    assert 100 * after.diagonal_percent.rf_lr == pytest.approx(cross, abs=1e-5)


def test_over_a_wheel_is_not_all_on_that_wheel(tmp_path: Path) -> None:
    """DERIVED (physics.md section 2): 20 kg over the left front wheel give +15, +5, +5, -5 kg, and 50 % stays at 50."""
    over_the_wheel = PART.replace("1.0", "0").replace("0.5", "0.75")
    after = asked(tmp_path, four_pads(0.5), QUARTERS, UNITS_KG + over_the_wheel).after
    assert tuple(dict(after.corner_loads).values()) == pytest.approx((265, 255, 255, 245), abs=1e-9)
    assert after.diagonal_percent.rf_lr == pytest.approx(0.5, abs=1e-12)


QUARTERS = f"""{UNITS_KG}
[weigh_in]
date = 2026-03-14
[[readings]]
LF = 250
RF = 250
LR = 250
RR = 250
"""


def four_pads(share: float) -> str:
    """The car of REF-C5: wheelbase 2.5 m, tracks 1.5 m."""
    chassis = '[car]\nname = "a car on four equal pads"\nwheelbase = 2.5\ntrack_front = 1.5\ntrack_rear = 1.5\n'
    return f"{UNITS_KG}{chassis}[suspension]\nfront_roll_share = {100 * share!r}\n{REST}"
