"""Invented cars by the hundred, for every test that wants many: a recipe says what a car is like, a seed does the rest.

Nothing here knows the planner. Masses are in kg, lengths in m and volumes in L, as they are inside the program; masses
are multiples of 0.01 kg as on a real label, so that limits are met exactly now and then.
"""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

import numpy as np
from numpy.random import Generator

from ballast.records.question import Question

Required = Literal["minimum", "total", "as weighed"]
Lengthwise = Literal["front", "rear", "none"]
Crosswise = Literal["RF+LR", "LF+RR", "rear pair", "platforms", "none"]

UNITS = {"mass": "kg", "length": "m"}
ORDERS = (
    ("balance", "mass", "changes", "height", "aim"),
    ("balance", "mass", "pieces", "yaw", "aim"),
    ("mass", "balance", "pieces", "aim"),
    ("changes", "balance", "aim", "mass"),
    ("balance", "aim"),
    ("pieces", "height", "balance"),
)


@dataclass(frozen=True)
class Recipe:
    """What a car is like. Everything not said here is drawn by the seed."""

    mounts: int = 3
    kinds: int = 2
    owned: int = 3
    """greatest number of plates of a kind"""
    fitted: bool = False
    """some plates are on board at the weigh-in"""
    stays: bool = False
    """some of the fitted ones must stay"""
    most_changes: int | None = None
    stack: bool = False
    """some mounts limit the height of their stack, and every plate has a thickness"""
    pieces: bool = False
    """some mounts limit the number of plates"""
    takes: bool = False
    """some mounts take some kinds of plate only"""
    fixing: bool = False
    """some mounts carry hardware while in use"""
    heights: bool = True
    """mounts have a height above the ground"""
    coarse: bool = False
    """plates of 8 to 25 kg instead of 1 to 10 kg"""
    required: Required = "total"
    wanted: float = 0.5
    """required total: this part of the movable plates' mass over the bare car; negative for an overweight car"""
    lengthwise: Lengthwise = "front"
    left: bool = True
    crosswise: Crosswise = "none"
    far: bool = False
    """aims that ballast cannot reach"""
    weighted: bool = False
    """targets of different weight"""
    settlings: int = 3
    order: tuple[str, ...] = ORDERS[0]
    roll_share: bool = True
    """the front share of the roll stiffness is known"""
    over_required: float = 2.0
    rules: bool = False
    """a rulebook with limits of many kinds, bolts and materials, losses, pads with errors"""


def drawn(rng: Generator, mounts: int, kinds: int, owned: int) -> Recipe:
    """A recipe with everything else drawn: each feature is there about every other time."""

    def chance(part: float = 0.5) -> bool:
        return bool(rng.random() < part)

    fitted = chance()
    crosswise: tuple[Crosswise, ...] = ("RF+LR", "LF+RR", "rear pair", "platforms", "none")
    lengthwise: tuple[Lengthwise, ...] = ("front", "rear", "none")
    required: tuple[Required, ...] = ("minimum", "total", "as weighed")
    return Recipe(
        mounts=mounts,
        kinds=kinds,
        owned=owned,
        fitted=fitted,
        stays=fitted and chance(),
        most_changes=int(rng.integers(1, 3 * mounts)) if chance(0.3) else None,
        stack=chance(0.4),
        pieces=chance(0.4),
        takes=chance(0.4),
        fixing=chance(),
        heights=chance(0.8),
        coarse=chance(0.2),
        required=required[rng.integers(3)],
        wanted=float(rng.uniform(-0.2, 0.8)),
        lengthwise=lengthwise[rng.integers(3)],
        left=chance(0.8),
        crosswise=crosswise[rng.integers(5)],
        far=chance(0.3),
        weighted=chance(0.3),
        settlings=int(rng.choice([1, 2, 3, 4])),
        order=ORDERS[rng.integers(len(ORDERS))],
        roll_share=chance(0.7),
        over_required=float(rng.choice([0.0, 1.0, 2.0, 2.0, 4.0])),
    )


def question(recipe: Recipe, rng: Generator) -> Question:
    """A question after a recipe. It is one that the files could have asked: no record has a complaint about it."""
    plates = [_plate(recipe, rng, number) for number in range(recipe.kinds)]
    chassis: dict[str, Any] = {
        "name": "an invented car",
        "wheelbase": _hundredth(rng.uniform(2.2, 2.9)),
        "track_front": _hundredth(rng.uniform(1.3, 1.6)),
        "track_rear": _hundredth(rng.uniform(1.3, 1.6)),
    }
    mounts = [_mount(recipe, rng, number, chassis["wheelbase"], plates) for number in range(recipe.mounts)]
    _somewhere_for_each(mounts, plates)
    fitted = _fitted(recipe, rng, mounts, plates) if recipe.fitted else []
    mass = {plate["name"]: plate["mass"] for plate in plates}
    in_use = {row["mount"] for row in fitted}
    on_board = sum(mass[row["plate"]] * row["count"] for row in fitted)
    on_board += sum(mount["fixing_mass"] for mount in mounts if mount["name"] in in_use)
    loads = _loads(rng) + on_board / 4
    readings = _settled(rng, loads, recipe.settlings)
    bare = float(np.mean(readings, axis=0).sum() - on_board)
    movable = sum(plate["mass"] * plate["count"] for plate in plates)
    required = round(bare + recipe.wanted * movable, 1)
    car: dict[str, Any] = {
        "units": UNITS,
        "car": chassis,
        "mounts": mounts,
        "plates": plates,
        "targets": _targets(recipe, rng, np.mean(readings, axis=0)),
        "wishes": {
            "order": recipe.order,
            "most_changes": recipe.most_changes,
            "over_required": recipe.over_required,
            "seconds": 60.0,
        },
    }
    if recipe.roll_share:
        car["suspension"] = {"front_roll_share": _hundredth(rng.uniform(0.35, 0.7))}
    rulebook: dict[str, Any] | None = None
    if recipe.required == "total":
        car["targets"]["total"] = required
    if recipe.required == "minimum":
        car["margin"] = {"total": 1.5}
        rulebook = _rulebook(round(required - 1.5, 1))
    weigh_in: dict[str, Any] = {
        "units": UNITS,
        "weigh_in": {"date": date(2026, 3, 14), "driver": "in"},
        "readings": [dict(zip(("LF", "RF", "LR", "RR"), map(float, row), strict=True)) for row in readings],
        "fitted": fitted,
    }
    if recipe.rules and rulebook is not None:
        rulebook |= _more_rules(rng, car, np.mean(readings, axis=0), movable)
        rulebook |= _two_minima(rng, rulebook["minimum_weight"])
        _told_by_the_weigh_in(rng, car, weigh_in)
    return Question.model_validate({"car": car, "weigh_in": weigh_in, "rulebook": rulebook})


def small_question(seed: int) -> Question:
    """A car small enough to try every way of fitting its plates: two to four mounts, one to three kinds of plate."""
    rng = np.random.default_rng(seed)
    mounts, kinds = int(rng.integers(2, 5)), int(rng.integers(1, 4))
    return question(drawn(rng, mounts, kinds, owned=5), rng)


def tight_question(seed: int) -> Question:
    """A small car that asks for about as much as its plates, its mounts or its changes can give, or for more."""
    rng = np.random.default_rng(seed)
    recipe = drawn(rng, mounts=int(rng.integers(2, 4)), kinds=int(rng.integers(1, 4)), owned=4)
    match int(rng.integers(4)):
        case 0:
            recipe = replace(recipe, wanted=float(rng.uniform(0.7, 1.2)), required="total", fixing=True)
        case 1:
            recipe = replace(recipe, wanted=float(rng.uniform(0.4, 0.9)), required="minimum", most_changes=2)
        case 2:
            recipe = replace(recipe, fitted=True, stays=True, required="as weighed", pieces=True, stack=True)
        case _:
            recipe = replace(recipe, wanted=float(rng.uniform(0.5, 0.9)), required="total", pieces=True, fixing=True)
    return question(recipe, rng)


def ruled_question(seed: int, mounts: int = 0, kinds: int = 0) -> Question:
    """A car under a rulebook with limits of many kinds; small enough to try every way, unless told to be larger."""
    rng = np.random.default_rng(seed)
    mounts, kinds = mounts or int(rng.integers(2, 4)), kinds or int(rng.integers(1, 4))
    recipe = drawn(rng, mounts, kinds, owned=4)
    wanted = float(rng.uniform(0.0, 0.6))
    recipe = replace(recipe, required="minimum", rules=True, stack=True, heights=True, wanted=wanted)
    return question(recipe, rng)


def large_question(seed: int, mounts: int, kinds: int) -> Question:
    """A car of a size that a real one has, with more plates than it needs."""
    rng = np.random.default_rng(seed)
    return question(drawn(rng, mounts, kinds, owned=6), rng)


def sprung_question(seed: int) -> Question:
    """A small, a tight or a ruled car by turns, and under it whatever can be known of springs, bars and wheels.

    The car is the one the seed always had; what it stands on is drawn by a generator of its own.
    """
    plain = (small_question, tight_question, ruled_question)[seed % 3](seed)
    rng = np.random.default_rng((seed, 5))
    connected = bool(rng.random() < 0.5)
    visit = plain.weigh_in.visit.replace(bars="connected" if connected else "disconnected")
    suspension = _suspension(rng)
    wheels = _wheels(rng, plain) if rng.random() < 0.5 else {}
    car = plain.car.replace(suspension=suspension, wheels=wheels)
    return plain.replace(car=car, weigh_in=plain.weigh_in.replace(visit=visit))


def _suspension(rng: Generator) -> dict[str, Any]:
    """Mostly the springs of both axles; else what trial weights told, a roll share, or nothing. N/m, N m/rad."""
    known = rng.random()
    if known < 0.1:
        return {}
    if known < 0.25:
        return {"front_roll_share": _hundredth(rng.uniform(0.35, 0.7))}
    if known < 0.4:
        told = np.round(rng.uniform(-0.06, 0.06, 3), 4).tolist()
        keys = ("at_front_axle", "at_rear_axle", "to_the_left")
        return {"learned": dict(zip(keys, told, strict=True)) | {"within": (0.004, 0.005, 0.01)}}
    found: dict[str, Any] = {"front": _axle(rng), "rear": _axle(rng), "rates_within": float(rng.choice([0.05, 0.2]))}
    return found | ({"chassis_twist": float(np.exp(rng.uniform(11.0, 14.0)))} if rng.random() < 0.5 else {})


def _axle(rng: Generator) -> dict[str, Any]:
    """One axle: springs for each side, a bar, tyres and a beam now and then."""
    beam = rng.random() < 0.4
    return {
        "springs": np.round(rng.uniform(25e3, 120e3, 2), -3).tolist(),
        "motion_ratio": np.round(rng.uniform(0.6, 1.1, 2), 2).tolist(),
        "bar": float(np.round(rng.uniform(5e3, 50e3), -3)) if rng.random() < 0.6 else None,
        "tyres": np.round(rng.uniform(180e3, 300e3, 2), -3).tolist() if rng.random() < 0.6 else None,
        "axle": "beam" if beam else "independent",
        "spring_base": _hundredth(rng.uniform(0.8, 1.2)) if beam else None,
    }


def _wheels(rng: Generator, question: Question) -> dict[str, Any]:
    """Wheels up to 60 mm out of their places, some of them; both of an axle equally far back, as on a beam."""
    places, nudge = question.car.wheel_places(), {"F": rng.uniform(-0.06, 0.06), "R": rng.uniform(-0.06, 0.06)}
    return {
        corner: {"behind_front_axle": aft + nudge[corner[1]], "left_of_centre": left + rng.uniform(-0.06, 0.06)}
        for corner, (aft, left) in zip(("LF", "RF", "LR", "RR"), places, strict=True)
    }


def _hundredth(value: float) -> float:
    return round(float(value), 2)


def _plate(recipe: Recipe, rng: Generator, number: int) -> dict[str, Any]:
    mass = rng.uniform(8, 25) if recipe.coarse else np.exp(rng.uniform(np.log(0.8), np.log(10)))
    return {
        "name": f"plate {number}",
        "mass": _hundredth(mass),
        "count": int(rng.integers(1, recipe.owned + 1)),
        "kind": f"pattern {number % 2}",
        "thickness": round(0.004 + 0.003 * float(mass), 3) if recipe.stack or rng.random() < 0.5 else None,
    }


def _mount(
    recipe: Recipe, rng: Generator, number: int, wheelbase: float, plates: list[dict[str, Any]]
) -> dict[str, Any]:
    heaviest = max(plate["mass"] for plate in plates)
    fixing = _hundredth(rng.uniform(0.2, 1.5)) if recipe.fixing and rng.random() < 0.7 else 0.0
    names = [plate["name"] for plate in plates] + sorted({plate["kind"] for plate in plates})
    return {
        "name": f"mount {number}",
        "behind_front_axle": _hundredth(rng.uniform(-0.4, wheelbase + 0.5)),
        "left_of_centre": _hundredth(rng.uniform(-0.65, 0.65)),
        "above_ground": _hundredth(rng.uniform(0.1, 0.5)) if recipe.heights else None,
        "capacity": round(fixing + heaviest * float(rng.uniform(1.0, 3.5)) + 0.05, 1),
        "stack": round(float(rng.uniform(0.03, 0.15)), 3) if recipe.stack and rng.random() < 0.7 else None,
        "pieces": int(rng.integers(1, 5)) if recipe.pieces and rng.random() < 0.7 else None,
        "takes": [str(rng.choice(names))] if recipe.takes and rng.random() < 0.5 else None,
        "fixing_mass": fixing,
    }


def _somewhere_for_each(mounts: list[dict[str, Any]], plates: list[dict[str, Any]]) -> None:
    """Let the first mount take whatever no other can carry: a plate that fits nowhere is a mistake in a file."""
    first, heaviest = mounts[0], max(plate["mass"] for plate in plates)
    first["takes"] = None
    first["capacity"] = max(first["capacity"], round(first["fixing_mass"] + heaviest + 0.05, 1))


def _takes(mount: dict[str, Any], plate: dict[str, Any]) -> bool:
    return mount["takes"] is None or plate["name"] in mount["takes"] or plate["kind"] in mount["takes"]


def _fitted(
    recipe: Recipe, rng: Generator, mounts: list[dict[str, Any]], plates: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Some of the plates, anywhere: an earlier hand need not have kept to capacities, stacks or takes."""
    found = []
    for plate in plates:
        left = plate["count"]
        for mount in rng.permutation(np.array(mounts, dtype=object)):
            count = int(rng.integers(0, left + 1)) if rng.random() < 0.5 else 0
            if count:
                may_stay = recipe.stays and _takes(mount, plate) and rng.random() < 0.5
                stay = int(rng.integers(1, count + 1)) if may_stay else 0
                found.append({"mount": mount["name"], "plate": plate["name"], "count": count, "stay": stay})
                left -= count
    return found


def _loads(rng: Generator) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Corner loads of a car with nothing on board, (4,): near an even split, with a diagonal of its own. [kg]"""
    total, front, left = rng.uniform(500, 1200), rng.uniform(0.44, 0.56), rng.uniform(0.47, 0.53)
    warp = total * rng.uniform(-0.008, 0.008)
    ends = np.array([front * left, front * (1 - left), (1 - front) * left, (1 - front) * (1 - left)])
    return np.asarray(total * ends + warp * np.array([1.0, -1.0, -1.0, 1.0]))


def _settled(
    rng: Generator, loads: np.ndarray[Any, np.dtype[np.float64]], settlings: int
) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Readings of some settlings, (n, 4): mostly warp apart, each pad to 0.1 kg. [kg]"""
    warp = rng.normal(0, 0.4, (settlings, 1)) * np.array([1.0, -1.0, -1.0, 1.0])
    return np.asarray(np.round(loads + warp + rng.normal(0, 0.05, (settlings, 4)), 1))


def _targets(recipe: Recipe, rng: Generator, loads: np.ndarray[Any, np.dtype[np.float64]]) -> dict[str, Any]:
    """Aims a little, or a lot, away from how the car stands."""
    total = float(loads.sum())
    away = 0.06 if recipe.far else 0.006

    def aim(corners: list[int]) -> dict[str, Any]:
        wanted = {
            "aim": round(float(loads[corners].sum()) / total + float(rng.uniform(-away, away)), 3),
            "within": float(rng.choice([0.001, 0.002, 0.003, 0.005])),
        }
        return wanted | ({"weight": float(rng.choice([0.5, 2.0, 3.0]))} if recipe.weighted else {})

    targets: dict[str, Any] = {}
    if recipe.lengthwise != "none":
        targets[recipe.lengthwise] = aim([0, 1] if recipe.lengthwise == "front" else [2, 3])
    if recipe.left:
        targets["left"] = aim([0, 2])
    if recipe.crosswise in ("RF+LR", "platforms"):
        by = "platforms" if recipe.crosswise == "platforms" else "ballast"
        targets["diagonal"] = aim([1, 2]) | {"corners": "RF+LR", "by": by}
    elif recipe.crosswise == "LF+RR":
        targets["diagonal"] = aim([0, 3]) | {"corners": "LF+RR"}
    elif recipe.crosswise == "rear pair":
        pair = {"aim": round(float(loads[2] - loads[3] + total * rng.uniform(-away, away)), 1), "within": 2.0}
        targets["rear_pair"] = pair | ({"weight": 2.0} if recipe.weighted else {})
    return targets


def _rulebook(minimum: float) -> dict[str, Any]:
    return {
        "units": UNITS,
        "rulebook": {"name": "rules of an invented class"},
        "minimum_weight": {
            "mass": minimum,
            "driver": "in",
            "clause": "1",
            "source": "invented",
            "checked": date(2026, 3, 1),
        },
    }


RULED: dict[str, Any] = {"clause": "2.1", "source": "invented", "checked": date(2026, 3, 1)}
"""What every limit of an invented rulebook carries."""


def _more_rules(
    rng: Generator, car: dict[str, Any], loads: np.ndarray[Any, np.dtype[np.float64]], movable: float
) -> dict[str, Any]:
    """Limits of every kind a rulebook has, each there now and then, and what the car needs for them."""

    def chance(part: float) -> bool:
        return bool(rng.random() < part)

    masses, total = [plate["mass"] for plate in car["plates"]], float(loads.sum())
    state = RULED | {"driver": "in" if chance(0.85) else "out"}
    rules: dict[str, Any] = {}
    if chance(0.35):
        greatest = round(movable * float(rng.uniform(0.2, 1.0)), 1)
        rules["ballast_total"] = RULED | {"greatest": greatest, "hardware_counts": chance(0.5)}
    if chance(0.35):
        piece = float(rng.choice(masses)) + float(rng.choice([0.0, 0.5]))
        rules["ballast_piece"] = RULED | ({"greatest": piece} if chance(0.6) else {"least": piece})
    for plate in car["plates"]:
        plate["material"] = str(rng.choice(["steel", "lead", "tungsten"])) if chance(0.8) else None
    if chance(0.3):
        rules["ballast_material"] = RULED | {"barred": [str(rng.choice(["lead", "tungsten"]))]}
    if chance(0.2):
        rules["ballast_stack"] = RULED | {"greatest": round(float(rng.uniform(0.02, 0.08)), 3)}
    if chance(0.3):
        least = round(float(loads[:2].sum() + total * rng.uniform(-0.01, 0.01)), 1)
        rules["front_axle"] = state | {"least": least}
    if chance(0.3):
        least = round(float(loads[1::2].sum() + total * rng.uniform(-0.01, 0.01)), 1)
        rules["right_side"] = state | {"least": least}
    if chance(0.3):
        share = float(loads[0::2].sum()) / total + float(rng.uniform(-0.005, 0.01))
        rules["left_share"] = state | {"greatest": round(share, 3)}
    if chance(0.3):
        share = float(loads[2:].sum()) / total + float(rng.uniform(-0.005, 0.01))
        rules["rear_share"] = state | {"greatest": round(share, 3)}
    if chance(0.15):
        place = {
            "behind_front_axle": _hundredth(rng.uniform(0, 2)),
            "left_of_centre": _hundredth(rng.uniform(-0.4, 0.4)),
        }
        rules["success_ballast"] = RULED | {"mass": _hundredth(rng.uniform(2, 15))} | place
    if chance(0.2):
        factors = {way: float(rng.integers(5, 40)) for way in ("forward", "rearward", "sideways", "up")}
        rules["load_factors"] = RULED | factors
    rules |= _zones(rng, car) | _bolted(rng, car)
    return rules


def _zones(rng: Generator, car: dict[str, Any]) -> dict[str, Any]:
    """Up to two zones: a box in one, two or three directions, or a name that some mounts carry."""
    zones = []
    if rng.random() < 0.35:
        for number in range(int(rng.integers(1, 3))):
            ends = np.sort(np.round(rng.uniform(-0.4, 3.0, 2), 2))
            ends[1] = max(float(ends[1]), float(ends[0]) + 1.5)
            zone = RULED | {"name": f"box {number}", "behind_front_axle": [float(ends[0]), float(ends[1])]}
            if rng.random() < 0.4:
                zone["left_of_centre"] = [-0.5, _hundredth(rng.uniform(0.0, 0.6))]
            if rng.random() < 0.4:
                zone["above_ground"] = [0.1, _hundredth(rng.uniform(0.2, 0.5))]
            zones.append(zone)
        if rng.random() < 0.5:
            zones[-1] = RULED | {"name": "floor", "by_name": True}
            for mount in car["mounts"]:
                mount["zone"] = "floor" if rng.random() < 0.5 else None
    return {"ballast_zone": zones}


def _bolted(rng: Generator, car: dict[str, Any]) -> dict[str, Any]:
    """Bolts at most mounts, and up to two rules about them."""
    strengths = ("4.6", "5.8", "8.8", "10.9", "12.9")
    for mount in car["mounts"]:
        if rng.random() < 0.8:
            mount["bolts"] = {
                "count": int(rng.integers(1, 5)),
                "thread": str(rng.choice(["M5", "M6", "M8"])),
                "strength": str(rng.choice(strengths)),
                "plain_shank": bool(rng.random() < 0.3),
                "washer": float(rng.choice([0.016, 0.024])) if rng.random() < 0.5 else None,
            }
    rules = []
    for _ in range(int(rng.choice([0, 0, 1, 2]))):
        rule: dict[str, Any] = RULED | {"bolts": int(rng.integers(1, 4))}
        which = rng.random()
        if which < 0.4:
            rule["for_each"] = float(rng.integers(3, 15))
        elif which < 0.7:
            rule["above"] = float(rng.integers(1, 8))
        if rng.random() < 0.4:
            rule["thread"] = str(rng.choice(["M5", "M6", "M8"]))
        if rng.random() < 0.4:
            rule["strength"] = str(rng.choice(strengths[:4]))
        if rng.random() < 0.3:
            rule["washer"] = 0.02
        rules.append(rule)
    return {"ballast_fixing": rules}


def _two_minima(rng: Generator, one: dict[str, Any]) -> dict[str, Any]:
    """Now and then a second minimum, for the car without its driver, or with its tank drained."""
    if rng.random() < 0.6:
        return {}
    alone = one | {"name": "car alone", "driver": "out", "mass": round(one["mass"] - float(rng.uniform(70, 82)), 1)}
    drained = one | {"name": "drained", "fuel": "drained", "mass": round(one["mass"] - float(rng.uniform(5, 15)), 1)}
    return {"minimum_weight": [one, alone if rng.random() < 0.5 else drained]}


def _told_by_the_weigh_in(rng: Generator, car: dict[str, Any], weigh_in: dict[str, Any]) -> None:
    """Losses, the driver's mass, fuel and the errors of the pads, each known now and then."""
    if rng.random() < 0.5:
        car["losses"] = [{"name": "tyre wear", "mass": _hundredth(rng.uniform(0, 1.5))}]
    if rng.random() < 0.7:
        weigh_in["weigh_in"]["driver_mass"] = _hundredth(rng.uniform(70, 80))
    litres = float(rng.integers(5, 30)) if rng.random() < 0.7 else None
    if rng.random() < 0.5:
        weigh_in["pads"] = {"resolution": 0.1, "accuracy": 0.2, "gain_within": 0.0005}
    if litres is not None:
        weigh_in["fuel"] = {"volume": litres, "volume_within": 0.25}
        car["tanks"] = [
            {
                "name": "tank",
                "behind_front_axle": _hundredth(rng.uniform(1.2, 2.4)),
                "left_of_centre": _hundredth(rng.uniform(-0.3, 0.3)),
                "above_ground": 0.3,
                "volume": litres + float(rng.integers(5, 50)),
                "at_flag": litres,
            }
        ]
