"""A weighing in words: the verdict first, what to do next, and why each thing left out matters."""

from pathlib import Path

import numpy as np
import pytest

from ballast.jobs.weigh import weigh
from ballast.records.files import read_question
from ballast.records.pads import Checked
from ballast.showing.pads_sheet import WHY
from ballast.showing.text import WIDTH, laid_out
from ballast.showing.weighing_sheet import weighing_sheet
from tests.jobs.test_pads import HIGH, LEVEL, SPRUNG, asked, proved, table

WARP = np.array([1, -1, -1, 1])
QUIET = "".join(table("[[readings]]", np.array(LEVEL) + off * WARP) for off in (0.2, -0.2, 0.0))
STEPS = "\n[pads]\nresolution = 0.1\n"
TICKED = "\n[checked]\n" + "".join(f"{key} = true\n" for key in Checked.model_fields)


def text(folder: Path, weigh_in: str, car: str = "", bars: str = "disconnected") -> str:
    """The sheet as a terminal shows it; no line too wide."""
    question = asked(folder, weigh_in, car, bars)
    shown = laid_out(weighing_sheet(question, weigh(question)))
    assert max(map(len, shown.splitlines())) <= WIDTH
    return shown


def words(folder: Path, weigh_in: str, car: str = "", bars: str = "disconnected") -> str:
    """The same in one line, so that no sentence is broken."""
    return " ".join(text(folder, weigh_in, car, bars).split())


def test_a_good_weighing_says_so_first(tmp_path: Path) -> None:
    """Three settlings within 0.4 kg of warp and a known display: the verdict is the first line below the title."""
    lines = text(tmp_path, QUIET + STEPS + TICKED).splitlines()
    assert lines[1].startswith("  GOOD ENOUGH TO PLAN ON: +/- 0.1 kg")
    assert "CHECK" not in "\n".join(lines)


def test_pads_of_which_nothing_is_known_are_said_to_be(tmp_path: Path) -> None:
    """Settlings alone say nothing of what the pads are off, and the verdict says that."""
    assert "by the settlings; the file says nothing of the pads" in words(tmp_path, QUIET)


def test_at_most_three_things_to_do_the_worst_first(tmp_path: Path) -> None:
    """A frozen pad, a settling apart, a warped floor, a slope and scatter: three are told, the pad before the rest."""
    rows = [(260, 270, 240, 230), (260, 262, 241, 231), (260, 270.4, 240.4, 230.4)]
    given = "".join(table("[[readings]]", row) for row in rows) + table("[pads.heights]", (30, 0, 12, 0))
    lines = text(tmp_path, given).splitlines()
    assert lines[1] == "  BEFORE YOU PLAN ON THIS:"
    starts = [line.strip()[:2] for line in lines[2:12]]
    assert [start for start in starts if start in {"1.", "2.", "3.", "4."}] == ["1.", "2.", "3."]
    said = " ".join(" ".join(lines).split())
    assert said.index("1. Pad LF showed the same") < said.index("2. Settling 2 stands apart") < said.index("3. Pack")


def test_an_outlying_settling_is_shown_with_the_others_and_counts(tmp_path: Path) -> None:
    """10 kg too little on RF in the last of three: its total beside the others', read once more, never dropped."""
    given = QUIET.replace("RF = 270.0", "RF = 260.0")
    said = words(tmp_path, given)
    assert "Settling 3 stands apart: total 990.0 kg, the others 1000.0 kg on the mean." in said
    assert "read once more. It counts until you know what was wrong" in said
    assert "Of three settlings this test (Grubbs, 5 %) misses most slips" in said
    assert "total 996.7 kg" in said


@pytest.mark.parametrize(("settlings", "more"), [(1, "twice more"), (2, "once more")])
def test_too_few_settlings(tmp_path: Path, settlings: int, more: str) -> None:
    """One or two settlings: read on to three."""
    assert f"Roll off, on, settle and read {more}" in words(tmp_path, settlings * table("[[readings]]", LEVEL))


def test_too_wide_a_scatter_says_how_many_settlings_it_takes(tmp_path: Path) -> None:
    """Warp of -2, 0, 2 kg on 1,000 kg: 0.99 points at 95 %, 0.5 wanted, and five settlings would do (t s / sqrt n)."""
    given = "".join(table("[[readings]]", np.array(LEVEL) + off * WARP) for off in (-2, 0, 2))
    said = words(tmp_path, given + STEPS)
    assert "diagonal +/- 1.00 points, wanted 0.50 points" in said or "diagonal +/- 0.99 points, wanted" in said
    assert "5 settlings in all would do" in said


def test_pads_too_poor_for_what_is_wanted(tmp_path: Path) -> None:
    """Pads good to 5 kg each: no number of settlings helps, a known mass on each does."""
    said = words(tmp_path, QUIET + "\n[pads]\naccuracy = 5\n")
    assert "The pads themselves leave too much open" in said
    assert "known mass on each" in said


def test_packers_are_told_by_pad_and_thickness(tmp_path: Path) -> None:
    """LF 2 mm up on packers of 1 mm: two in all under RF and LR, and what one packer does with bars off and on."""
    said = words(tmp_path, QUIET + table("[pads.heights]", (2, 0, 0, 0)), SPRUNG)
    assert "The LF pad is 2 mm above the plane of the other three." in said
    assert "That put +2.1 kg on LF and moved RF+LR by -0.42 points; it is taken off." in said
    assert "To put them into one plane: " in said
    assert "1.1 kg on its corner and 0.21 points of diagonal with bars disconnected; 1.8 kg" in said


def test_without_springs_the_diagonal_is_not_to_be_trusted(tmp_path: Path) -> None:
    """Heights and no rates: the sheet says that nothing corrects the diagonal, and how to pack."""
    said = words(tmp_path, QUIET + table("[pads.heights]", (2, 0, 0, 0)))
    assert "trust total, front and left, not the diagonal, until the pads are packed" in said
    assert "1. Pack the pads, " in said


def test_a_slope_with_the_height_known_or_not(tmp_path: Path) -> None:
    """Left 15 mm up over 1500: at 400 mm up it took 0.27 points of left; without a height, 0.07 for each 100 mm."""
    tilt = table("[pads.heights]", (15, 0, 15, 0))
    known, unknown = words(tmp_path, QUIET + tilt, HIGH), words(tmp_path, QUIET + tilt, SPRUNG)
    assert "Slope: left 10.0 mm per m up" in known
    assert "400 mm up that moved left by -0.27 points" in known
    assert "For each 100 mm of height of the centre of gravity that moves left by -0.07 points" in unknown
    assert "To put them level as well: 15 x 1 mm under RF, 15 x 1 mm under RR." in known
    assert "1. Level the pads from side to side" in unknown


def test_levels_without_one_along_the_car(tmp_path: Path) -> None:
    """Two cross levels say nothing of front and rear, and the sheet says so."""
    said = words(tmp_path, QUIET + "\n[pads.levels]\nfront = 1\nrear = 1\n", HIGH)
    assert "Slope: left 1.0 mm per m up. With" in said
    assert "front is not corrected for a slope" in said


def test_connected_bars_are_said_to_make_it_worse(tmp_path: Path) -> None:
    """Read with the bars on: told, heights or not; read with them off: not a word."""
    warning = "The bars were connected: a pad out of level then counts for more"
    assert warning in words(tmp_path, QUIET, SPRUNG, "connected")
    assert warning in words(tmp_path, QUIET + table("[pads.heights]", (1, 0, 0, 0)), SPRUNG, "connected")
    assert warning not in words(tmp_path, QUIET + table("[pads.heights]", (1, 0, 0, 0)), SPRUNG)


def test_what_each_pad_showed_of_a_known_mass(tmp_path: Path) -> None:
    """1 % low on RF is taken out, and the rule is said; 20 kg on pads that carry 250 is too light to be sure."""
    said = words(tmp_path, QUIET + STEPS + proved((20, 19.8, 20, 20), "mass = 20\n"))
    assert "RF 1.00 % low +/- 0.41 % taken out LR 0.00 % off +/- 0.41 % left alone" in said
    assert "more than twice its standard uncertainty" in said
    assert "The mass was 20.0 kg, and a pad carries 250.7 kg" in said
    assert "the pads showed 260.0 kg 270.0 kg 240.0 kg 230.0 kg corrected by 0.0 kg +2.7 kg 0.0 kg 0.0 kg" in said


def test_a_person_on_some_pads(tmp_path: Path) -> None:
    """A person on two pads compares those two, puts nothing right, and the sheet says which pads are left."""
    two = proved((75, 75.2, 0, 0), "").split("\n[[pads.known_mass]]")[:3]
    said = words(tmp_path, QUIET + STEPS + "\n[[pads.known_mass]]".join(two))
    assert "pads are compared with each other" in said
    assert "1. The pads do not show the same" not in said
    assert "Not tried: LR, RR; until all four were tried, nothing is taken out." in said


def test_pads_that_disagree_over_a_person_are_to_be_tried_all(tmp_path: Path) -> None:
    """75 kg on one pad and 73 on another cannot be one person: try all four first."""
    two = proved((75, 73, 0, 0), "").split("\n[[pads.known_mass]]")[:3]
    said = words(tmp_path, QUIET + STEPS + "\n[[pads.known_mass]]".join(two))
    assert "1. The pads do not show the same of one mass (below): stand it on all four" in said


def test_turning_about_is_told_with_what_it_does_not_show(tmp_path: Path) -> None:
    """Left 50.4 and 49.6 %: half the difference 0.40 points; and that a twist looks the same from both ends."""
    side = np.array([2, -2, 2, -2])
    given = 2 * table("[[readings]]", np.array(LEVEL) + side) + 2 * table("[[turned]]", np.array(LEVEL) - side)
    said = words(tmp_path, given)
    assert "left 50.40 % 49.60 % 0.40 points" in said
    assert "A floor that is twisted looks the same from both ends" in said


@pytest.mark.parametrize("key", list(Checked.model_fields))
def test_each_thing_not_ticked_comes_back_with_its_reason(tmp_path: Path, key: str) -> None:
    """One line for each, with why it matters."""
    said = words(tmp_path, QUIET + TICKED.replace(f"{key} = true", f"{key} = false"))
    assert "one thing on the checklist not ticked" in said
    assert f"NOT TICKED ON THE CHECKLIST {key}: {WHY[key]}." in said
    assert sum(f"{other}: " in said for other in Checked.model_fields) == 1


def test_every_key_of_the_checklist_has_its_reason() -> None:
    """In the same order, too."""
    assert list(WHY) == list(Checked.model_fields)


def test_what_another_table_shows_need_not_be_ticked(tmp_path: Path) -> None:
    """Zero readings, a mass on all four pads and heights say more than a tick."""
    given = (
        table("[pads.zero]", (0, 0, 0.1, 0))
        + proved((80, 80, 80.1, 80), "mass = 80\n")
        + table("[pads.heights]", (0, 0, 0, 0))
        + "\n[checked]\npads_clean = true\n"
    )
    said = words(tmp_path, QUIET + given, SPRUNG)
    assert not any(f"{key}: " in said for key in ("zeroed", "known_mass", "pads_at_corners", "pads_level"))
    assert "settled: " in said


def test_no_checklist_is_one_line(tmp_path: Path) -> None:
    """A file without [checked] is told so once."""
    said = words(tmp_path, QUIET)
    assert "The checklist was not filled in" in said
    assert not any(f"{key}: " in said for key in Checked.model_fields)


def test_the_text_of_the_example(request: pytest.FixtureRequest) -> None:
    """The example with everything about its pads reads the same as when somebody last read it through."""
    root = Path(__file__).parents[2]
    golden = root / "tests" / "golden" / "sheets" / "weigh-pads.txt"
    coupe = root / "examples" / "beam-axle-coupe"
    question = read_question(coupe / "car.toml", coupe / "weigh-in-pads.toml")
    shown = laid_out(weighing_sheet(question, weigh(question)))
    if request.config.getoption("--update-golden"):
        golden.write_text(shown, encoding="utf-8")
    assert shown == golden.read_text(encoding="utf-8")
