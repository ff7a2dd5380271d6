"""The required total, as named terms: nothing is hidden in one number."""

from ballast.records.plan import Term
from ballast.records.question import Question


def terms(question: Question, weighed_total: float) -> tuple[Term, ...]:
    """Terms that add up to the total every legal case must reach.

    With a rulebook minimum: the minimum and the margin. Else the total aimed at. Else the total as weighed [kg].
    """
    minimum = question.rulebook.minimum_weight if question.rulebook else None
    if minimum:
        margin = question.car.margin.total
        kept = (Term(name="margin kept in hand", mass=margin),) if margin else ()
        return (Term(name="class minimum", mass=minimum.mass), *kept)
    if question.car.targets.total is not None:
        return (Term(name="total aimed at", mass=question.car.targets.total),)
    return (Term(name="total as weighed", mass=weighed_total),)
