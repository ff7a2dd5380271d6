"""How far a weighing can be trusted, in words: the verdict, what was tried on the pads, and what was not checked."""

from collections.abc import Iterator

from ballast.corners import CORNERS
from ballast.records.pads import Correction
from ballast.records.weighed import CaseLoads, Packed, PadProved, ToDo, Turned, Unevenness, Weighed, Within
from ballast.showing.rounding import Rounding
from ballast.showing.sheet import Section, Table

MOST_SAID = 3
"""Things to do that are said at the top."""
TWICE = 2.0
"""Standard uncertainties in a 95 % interval."""
HEAVY_ENOUGH = 0.25
"""Share of a pad's load from which a mass proves its gain well. Common practice, no source."""
FIGURES = {"total": "total", "front": "front", "left": "left", "diagonal": "RF+LR"}
CORRECTIONS: dict[Correction, str] = {
    "zero": "zero readings",
    "gain": "gain",
    "heights": "warp of the pads",
    "slope": "slope of the pads",
    "turned": "turning about",
}
WHY = {
    "pads_clean": "a stone or rubber beneath a pad makes it rock, and it reads wrong",
    "pads_level": "a pad too high takes load onto its own diagonal, and a side slope onto the low side",
    "pads_at_corners": "stand on each pad: two exchanged cables make every figure wrong",
    "zeroed": "what an empty pad shows is in every reading of it",
    "known_mass": "a pad that reads low shows only when the same mass stands on all four",
    "tyre_pressures": "a soft tyre is a low pad: it moves the diagonal",
    "dampers_soft": "stiff dampers hold the car where it was let down",
    "steering_centred": "caster lifts one front corner as the wheels turn, and moves the diagonal",
    "tools_out": "what lies in the car is weighed with it",
    "settled": "scrubbed tyres hold the springs off their height; never read straight after jacking",
    "wheels_on_middle": "a tyre near the edge of its pad, or half off it, reads wrong",
    "brakes_free": "a wheel that is held keeps scrub in the tyre; chock the car once it has settled",
}
"""Why each thing on the checklist matters."""


def verdict(weighed: Weighed, show: Rounding) -> Iterator[str]:
    """The first lines of the sheet: good enough to plan on, or what to do first."""
    told = _interval(weighed.uncertain, show)
    if not weighed.to_do:
        of = "settlings and pads" if weighed.pads_known else "by the settlings; the file says nothing of the pads"
        yield f"GOOD ENOUGH TO PLAN ON: {told} (95 %, {of})."
        if weighed.unticked:
            things = "one thing" if len(weighed.unticked) == 1 else f"{len(weighed.unticked)} things"
            yield f"That is, if the car stood as it should: {things} on the checklist not ticked (at the end)."
        return
    yield "BEFORE YOU PLAN ON THIS:"
    for number, to_do in enumerate(weighed.to_do[:MOST_SAID], start=1):
        yield f"{number}. {_said(to_do, weighed, show)}"
    yield f"As it stands: {told} (95 %)."


def _interval(within: Within, show: Rounding) -> str:
    return (
        f"+/- {show.at_most(within.total)}, front {show.points(within.front_percent)}, "
        f"left {show.points(within.left_percent)}, diagonal {show.points(within.diagonal_percent)}"
    )


def _said(to_do: ToDo, weighed: Weighed, show: Rounding) -> str:
    match to_do:
        case "light pad":
            text = (
                f"Pad {weighed.light} shows less than a third of any other: look for a digit that is missing in the "
                "file, a wheel that is not down on its pad, and a dead pad (press on it)."
            )
        case "frozen pad":
            text = (
                f"Pad {' and '.join(weighed.frozen)} showed the same every time while the others moved: press on it. "
                "If its number stays, look at cable and battery, and weigh again."
            )
        case "read again":
            apart = " and ".join(sorted({str(one.settling) for one in weighed.outlying}))
            text = (
                f"Settling {apart} stands apart from the others (below): roll off, on, settle and read once more. It "
                "counts until you know what was wrong with it and take it out of the file."
            )
        case "try all pads":
            text = (
                "The pads do not show the same of one mass (below): stand it on all four, so that what they read wrong "
                "can be taken out."
            )
        case "pack the pads":
            text = _pack_first(weighed.unevenness, show) if weighed.unevenness else ""
        case "level the pads":
            text = (
                "Level the pads from side to side and along, or measure the height of the centre of gravity (ballast "
                "height): without it the slope cannot be taken out of front and left."
            )
        case "three settlings":
            more = "twice more" if len(weighed.settlings) < 2 else "once more"
            text = f"Roll off, on, settle and read {more}: three settlings show how well it repeats."
        case "settle again":
            needed = weighed.settlings_needed
            fix = (
                f"{needed} settlings in all would do"
                if needed
                else "more settlings will hardly do: look for what sticks, such as a damper, a bar or a rocking pad"
            )
            text = f"The settlings scatter too widely ({_too_wide(weighed, show)}); {fix}."
        case "prove the pads":
            text = (
                f"The pads themselves leave too much open ({_too_wide(weighed, show)}): stand a known mass on each "
                "([[pads.known_mass]]), pack them level, or have them calibrated."
            )
    return text


def _pack_first(uneven: Unevenness, show: Rounding) -> str:
    if uneven.packing is None:
        return (
            f"The pads are out of plane by {show.small(abs(uneven.out_of_plane), 'length')}, too much to pack: weigh "
            "on another floor, or on built-up pads."
        )
    why = (
        f"they make {show.points(abs(uneven.warp_points))} of diagonal, and a correction is no better than the rates "
        "it comes from"
        if uneven.warp_points is not None
        else "without the springs in the car file nothing corrects the diagonal for them"
    )
    return f"Pack the pads, {_packers(uneven.packing, uneven.packer, show)}: {why}."


def _too_wide(weighed: Weighed, show: Rounding) -> str:
    """The figures that are not known well enough, and what is wanted."""
    uncertain, wanted = weighed.uncertain, weighed.wanted
    parts = []
    if uncertain.total > wanted.total:
        parts.append(f"total +/- {show.mass(uncertain.total)}, wanted {show.mass(wanted.total)}")
    for name, field in (("front", "front_percent"), ("left", "left_percent"), ("diagonal", "diagonal_percent")):
        wide, most = getattr(uncertain, field), getattr(wanted, field)
        if wide > most:
            parts.append(f"{name} +/- {show.points(wide)}, wanted {show.points(most)}")
    return "; ".join(parts)


def outlying_lines(weighed: Weighed, show: Rounding) -> Iterator[str]:
    """Each settling that stands apart, and in what."""
    for one in weighed.outlying:
        value, others = (
            show.mass(shown) if one.figure == "total" else f"{100 * shown:.2f} %" for shown in (one.value, one.others)
        )
        yield f"Settling {one.settling} stands apart: {FIGURES[one.figure]} {value}, the others {others} on the mean."
    if weighed.outlying and len(weighed.settlings) == MOST_SAID:
        yield "Of three settlings this test (Grubbs, 5 %) misses most slips, so take what it finds seriously."


def pads_sections(weighed: Weighed, show: Rounding) -> Iterator[Section]:
    """All that is known of the pads, where there is anything."""
    if weighed.correction is not None and weighed.corrected:
        loads, by = weighed.measured.corner_loads, weighed.correction
        rows = (
            ("the pads showed", *(show.mass(getattr(loads, c) - getattr(by, c)) for c in CORNERS)),
            ("corrected by", *(_signed(getattr(by, c), show) for c in CORNERS)),
            ("corrected", *(show.mass(getattr(loads, c)) for c in CORNERS)),
        )
        made = ", ".join(CORRECTIONS[name] for name in weighed.corrected)
        yield Section("CORRECTIONS, on the mean", table=Table(("", *CORNERS), rows), lines=(f"Corrected for: {made}.",))
    if weighed.proof:
        yield Section("A MASS ON EACH PAD", table=_gains(weighed), lines=tuple(_about_gains(weighed, show)))
    if weighed.unevenness:
        yield Section("PADS OUT OF LEVEL", lines=tuple(_unevenness(weighed, weighed.unevenness, show)))
    elif weighed.bars == "connected":
        yield Section("BARS", lines=(BARS_CONNECTED,))
    if weighed.turned:
        yield Section(
            "TURNED ABOUT", table=_turned(weighed.turned, show), lines=tuple(_about_turned(weighed.turned, show))
        )
    yield from _checklist(weighed)


BARS_CONNECTED = (
    "The bars were connected: a pad out of level then counts for more in the diagonal than with them off, often twice "
    "as much. Weigh with the bars off; put them back without preload, and weigh once more."
)


def _signed(value: float, show: Rounding) -> str:
    text = show.mass(value)
    return text if value < 0 or not float(text.split()[0]) else f"+{text}"


def _gains(weighed: Weighed) -> Table:
    assert weighed.proof is not None

    def row(pad: PadProved) -> tuple[str, ...]:
        off = round(100 * (pad.gain - 1), 2)
        way = "low" if off < 0 else "high" if off > 0 else "off"
        used = "taken out" if pad.applied else "left alone"
        return pad.corner, f"{abs(off):.2f} % {way}", f"+/- {100 * TWICE * pad.uncertain:.2f} %", used

    against = "reads" if weighed.proof.known else "reads, against the mean of all"
    return Table(("pad", against, "95 %", ""), tuple(row(pad) for pad in weighed.proof.pads), text_columns=1)


def _about_gains(weighed: Weighed, show: Rounding) -> Iterator[str]:
    proof = weighed.proof
    assert proof is not None
    yield (
        "What a pad reads wrong is taken out of its readings when it is more than twice its standard uncertainty; less "
        "than that is chance, and left alone."
    )
    tried = {pad.corner for pad in proof.pads}
    missing = [corner for corner in CORNERS if corner not in tried]
    if not proof.known:
        yield (
            "The mass was not known: pads are compared with each other, which puts the percentages right and says "
            "nothing of the total."
        )
    if missing:
        nothing = "" if proof.known else "; until all four were tried, nothing is taken out"
        yield f"Not tried: {', '.join(missing)}{nothing}."
    mean = weighed.measured.total / len(CORNERS)
    if proof.mass is not None and proof.mass < HEAVY_ENOUGH * mean:
        yield (
            f"The mass was {show.mass(proof.mass)}, and a pad carries {show.mass(mean)}: what it shows wrong grows "
            "with the load. The heavier the mass, the surer."
        )


def _unevenness(weighed: Weighed, uneven: Unevenness, show: Rounding) -> Iterator[str]:
    out = show.small(abs(uneven.out_of_plane), "length")
    way = "above" if uneven.out_of_plane >= 0 else "below"
    yield f"The LF pad is {out} {way} the plane of the other three."
    if uneven.warp_load is None:
        yield (
            "The car file gives no springs ([suspension.front], [suspension.rear]), so nothing says how much diagonal "
            "that makes: trust total, front and left, not the diagonal, until the pads are packed."
        )
    elif uneven.warp_points is not None:
        yield (
            f"That put {_signed(uneven.warp_load, show)} on LF and moved RF+LR by "
            f"{show.points(uneven.warp_points)}; it is taken off."
        )
    packing = uneven.packing
    if packing is None:
        yield "It would take too many packers: weigh on another floor."
    elif any(getattr(packing, corner) for corner in CORNERS):
        left = f", {show.points(abs(packing.diagonal_percent))} of diagonal" if packing.diagonal_percent else ""
        yield (
            f"To put them into one plane: {_packers(packing, uneven.packer, show)}. Then "
            f"{show.small(abs(packing.out_of_plane), 'length')} is left{left}."
        )
    else:
        yield "No packer brings them nearer to one plane."
    yield from _slope(uneven, show)
    if uneven.pad_error:
        by_bars = (
            f"{show.small_found(error.load, 'mass')} on its corner and {show.points(abs(error.diagonal_percent))} of "
            f"diagonal with bars {error.bars}"
            for error in uneven.pad_error
        )
        yield f"A packer ({show.small(uneven.packer, 'length')}) too much under one pad: {'; '.join(by_bars)}."
    if weighed.bars == "connected":
        yield BARS_CONNECTED


def _slope(uneven: Unevenness, show: Rounding) -> Iterator[str]:
    sides = f"left {_sloping(uneven.left_up)}"
    ends = f", front {_sloping(uneven.front_up)}" if uneven.along_measured else ""
    left, front = show.points(uneven.slope_left_points), show.points(uneven.slope_front_points)
    both = f"left by {left}" + (f" and front by {front}" if uneven.along_measured else "")
    if uneven.slope_corrected:
        yield (
            f"Slope: {sides}{ends}. With the centre of gravity {show.length(uneven.height)} up that moved {both}; it "
            "is taken off."
        )
    else:
        yield (
            f"Slope: {sides}{ends}. For each {show.length(uneven.height)} of height of the centre of gravity that "
            f"moves {both}; the car file gives no height, so it is not taken off."
        )
    if not uneven.along_measured:
        yield "No level along the car was given (fore_aft): front is not corrected for a slope."
    if uneven.levelling:
        yield f"To put them level as well: {_packers(uneven.levelling, uneven.packer, show)}."


def _sloping(slope: float) -> str:
    return f"{abs(slope):.1f} mm per m {'up' if slope >= 0 else 'down'}"


def _packers(packed: Packed, packer: float, show: Rounding) -> str:
    thick = show.small(packer, "length")
    counts = [(corner, getattr(packed, corner)) for corner in CORNERS]
    return ", ".join(f"{count} x {thick} under {corner}" for corner, count in counts if count) or "nothing"


def _turned(turned: Turned, show: Rounding) -> Table:
    def shares(case: CaseLoads) -> tuple[float, float, float]:
        return case.front_percent, case.left_percent, case.diagonal_percent.rf_lr

    def points(within: Within) -> tuple[float, float, float]:
        return within.front_percent, within.left_percent, within.diagonal_percent

    columns = zip(
        ("front", "left", "diagonal RF+LR"),
        shares(turned.first),
        shares(turned.turned),
        points(turned.bias),
        points(turned.bias_uncertain),
        strict=True,
    )
    return Table(
        ("", "as stood first", "turned", "half the difference", "95 %"),
        tuple(
            (name, f"{100 * one:.2f} %", f"{100 * two:.2f} %", show.points(half), f"+/- {100 * unsure:.2f}")
            for name, one, two, half, unsure in columns
        ),
    )


def _about_turned(turned: Turned, show: Rounding) -> Iterator[str]:
    first, second = turned.settlings
    one, other = turned.scatter
    yield (
        f"Standard uncertainty of the two means from their own scatter: left {show.points(one.left_percent)} and "
        f"{show.points(other.left_percent)}, diagonal {show.points(one.diagonal_percent)} and "
        f"{show.points(other.diagonal_percent)}."
    )
    yield f"The mean of the two sets ({first} and {second} settlings) counts: what a slope of the floor does cancels."
    yield (
        "A floor that is twisted looks the same from both ends: turning about does not take that out of the diagonal. "
        "Only heights or levels of the pads show it."
    )


def _checklist(weighed: Weighed) -> Iterator[Section]:
    if not weighed.checklist:
        yield Section(
            "BEFORE READING",
            lines=("The checklist was not filled in: [checked] in the weigh-in file (ballast new writes one).",),
        )
    elif weighed.unticked:
        yield Section("NOT TICKED ON THE CHECKLIST", lines=tuple(f"{key}: {WHY[key]}." for key in weighed.unticked))
