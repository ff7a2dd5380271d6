"""Doing what an answer says would have to give: the same question with the limits it names changed by that much."""

from collections.abc import Callable
from math import ceil
from typing import Any

from ballast.records.car import Car
from ballast.records.plan import Give, Limit, Relaxation
from ballast.records.question import Question
from ballast.records.rulebook import Rulebook
from tests.random_cars import RULED

HAIR = 1e-6
"""What is given on top, for the solver's own tolerance. [kg, m]"""


def given(question: Question, relaxation: Relaxation) -> Question:
    """The question with every limit of a relaxation given way."""
    for give in relaxation.gives:
        question = WAYS[give.limit](question, give)
    return question


def can_be_given(relaxation: Relaxation) -> bool:
    """Whether a file can say it: that a wheel leaves its pad is nothing anybody can allow."""
    return all(give.limit != "wheels on the ground" for give in relaxation.gives)


def can_be_given_to_a_crew(question: Question, relaxation: Relaxation) -> bool:
    """The same with several drivers: totals that are each driver's own as it is cannot be lowered in a file either."""
    car, book = question.car, question.rulebook
    own = car.targets.total is None and not (book and book.minima)
    return can_be_given(relaxation) and not (own and any(give.limit == "required total" for give in relaxation.gives))


def _car(question: Question, **changes: Any) -> Question:
    return question.replace(car=question.car.replace(**changes))


def _book(question: Question, **changes: Any) -> Question:
    return question.replace(rulebook=_rulebook(question).replace(**changes))


def _rulebook(question: Question) -> Rulebook:
    assert question.rulebook is not None
    return question.rulebook


def _named(car: Car, table: str, name: str, **changes: Any) -> Any:
    return tuple(row.replace(**changes) if row.name == name else row for row in getattr(car, table))


def _mount(question: Question, name: str, **changes: Any) -> Question:
    return _car(question, mounts=_named(question.car, "mounts", name, **changes))


def _stock(question: Question, give: Give) -> Question:
    owned = max(_plate(question, give).count, round(give.to))
    return _car(question, plates=_named(question.car, "plates", give.subject, count=owned))


def _raised(key: str) -> Callable[[Question, Give], Question]:
    """A limit of a mount; of several drivers who ask for it, the one who asks most has it."""

    def raised(question: Question, give: Give) -> Question:
        (mount,) = [mount for mount in question.car.mounts if mount.name == give.subject]
        to = round(give.to) if give.dimension is None else give.to + HAIR
        return _mount(question, give.subject, **{key: max(getattr(mount, key), to)})

    return raised


def _stays(question: Question, give: Give) -> Question:
    plate, _, mount = give.subject.partition(" on ")
    rows = tuple(
        row.replace(stay=round(give.to)) if (row.mount, row.plate) == (mount, plate) else row
        for row in question.weigh_in.fitted
    )
    return question.replace(weigh_in=question.weigh_in.replace(fitted=rows))


def _changes(question: Question, give: Give) -> Question:
    return question.with_wishes(most_changes=round(give.to))


def _required(question: Question, give: Give) -> Question:
    if question.rulebook and question.rulebook.minima:
        off = give.was - give.to + HAIR
        return _book(question, minima=tuple(m.replace(mass=m.mass - off) for m in question.rulebook.minima))
    total = min(question.car.targets.total or give.was, give.to - HAIR)
    return _car(question, targets=question.car.targets.replace(total=total))


def _ballast_total(question: Question, give: Give) -> Question:
    rule = _rulebook(question).ballast_total
    assert rule is not None
    return _book(question, ballast_total=rule.replace(greatest=give.to + HAIR))


def _piece(question: Question, give: Give) -> Question:
    rule, plate = _rulebook(question).ballast_piece, _plate(question, give)
    assert rule is not None
    least = None if rule.least is None else min(rule.least, plate.mass)
    greatest = None if rule.greatest is None else max(rule.greatest, plate.mass)
    return _book(question, ballast_piece=rule.replace(least=least, greatest=greatest))


def _plate(question: Question, give: Give) -> Any:
    return next(plate for plate in question.car.plates if plate.name == give.subject.partition(" on ")[0])


def _material(question: Question, give: Give) -> Question:
    rule, plate = _rulebook(question).ballast_material, _plate(question, give)
    barred = tuple(material for material in (rule.barred if rule else ()) if material != plate.material)
    return _book(question, ballast_material=rule.replace(barred=barred) if rule and barred else None)


def _zone(question: Question, give: Give) -> Question:
    mount = next(mount for mount in question.car.mounts if mount.name == give.subject.partition(" on ")[2])
    aft = mount.behind_front_axle
    box = RULED | {"name": f"at {mount.name}", "behind_front_axle": (aft, aft)}
    return _book(question, zones=(*_rulebook(question).zones, box))


def _rule_stack(question: Question, give: Give) -> Question:
    rule = _rulebook(question).ballast_stack
    assert rule is not None
    return _book(question, ballast_stack=rule.replace(greatest=max(rule.greatest, give.to + HAIR)))


def _better_bolts(question: Question, give: Give) -> Question:
    """Bolts that meet every rule for one piece."""
    name = give.subject.partition(" on ")[2]
    mount = next(mount for mount in question.car.mounts if mount.name == name)
    assert mount.bolts is not None
    count = max([mount.bolts.count, *(rule.bolts for rule in _rulebook(question).fixings)])
    bolts = mount.bolts.replace(count=count, thread="M12", strength="10.9", washer=0.03)
    return _mount(question, name, bolts=bolts)


def _more_bolts(question: Question, give: Give) -> Question:
    """As many more bolts as every rule of so many for each so much mass asks for."""
    mount = next(mount for mount in question.car.mounts if mount.name == give.subject)
    assert mount.bolts is not None
    rules = [rule for rule in _rulebook(question).fixings if rule.for_each is not None]
    counts = [rule.bolts * ceil((give.to - HAIR) / rule.for_each) for rule in rules if rule.for_each]
    return _mount(question, give.subject, bolts=mount.bolts.replace(count=max(mount.bolts.count, *counts)))


def _stronger_bolts(question: Question, give: Give) -> Question:
    mount = next(mount for mount in question.car.mounts if mount.name == give.subject)
    assert mount.bolts is not None
    count = ceil(mount.bolts.count * (give.to + HAIR) / give.was)
    return _mount(question, give.subject, bolts=mount.bolts.replace(count=count))


def _least(table: str) -> Callable[[Question, Give], Question]:
    def lower(question: Question, give: Give) -> Question:
        rule = getattr(question.rulebook, table)
        return _book(question, **{table: rule.replace(least=rule.least - (give.was - give.to) - HAIR)})

    return lower


def _greatest_share(table: str) -> Callable[[Question, Give], Question]:
    def raised(question: Question, give: Give) -> Question:
        rule = getattr(question.rulebook, table)
        return _book(question, **{table: rule.replace(greatest=rule.greatest + (give.to - give.was) + HAIR / 100)})

    return raised


WAYS: dict[Limit, Callable[[Question, Give], Question]] = {
    "stock": _stock,
    "capacity": _raised("capacity"),
    "stack height": _raised("stack"),
    "pieces": _raised("pieces"),
    "plates that stay": _stays,
    "changes": _changes,
    "required total": _required,
    "ballast total": _ballast_total,
    "ballast piece": _piece,
    "ballast material": _material,
    "ballast zone": _zone,
    "ballast stack": _rule_stack,
    "piece fixing": _better_bolts,
    "ballast fixing": _more_bolts,
    "bolt strength": _stronger_bolts,
    "front axle": _least("front_axle"),
    "right side": _least("right_side"),
    "left share": _greatest_share("left_share"),
    "rear share": _greatest_share("rear_share"),
}
