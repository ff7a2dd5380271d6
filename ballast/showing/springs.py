"""What a sheet says of the springs behind its diagonal: who knows them, what is left open, which bars it is for."""

from collections.abc import Iterator

from ballast.records.plan import RollShare
from ballast.records.question import Question

HOW_TO_MEASURE_ROLL_SHARE = (
    "To measure it: weigh, put a known mass (20 kg / 45 lb or more) far to the left, settle, weigh again; `ballast "
    "trial` works it out. By hand: front roll share in percent = 100 x change of (LF - RF) x front track / (2 x mass x "
    "its distance left of the centre line). Write it in [suspension] front_roll_share."
)


def on_springs(
    question: Question, behind: RollShare, diagonal: str, ends: tuple[str, str], unsure: bool = True
) -> Iterator[str]:
    """Sentences about the springs. diagonal : what they are about, "the diagonal RF+LR after this plan"; ends : of it.

    unsure : say how to know more, where nothing is known.
    """
    digits = 4 if behind.known_by in ("assumption", "roll share") else 3  # as written, or as well as rates are known
    share, low, high = (f"{100 * part:.{digits}g}" for part in (behind.value, behind.low, behind.high))
    between = f"from {ends[0]} to {ends[1]} %" if ends[0] != ends[1] else f"still {ends[0]} %"
    match behind.known_by:
        case "assumption":
            yield (
                f"How the springs share a load off the centre line is not known: {share} % of the roll stiffness at "
                f"the front is assumed. If it is {low} to {high} %, {diagonal} is {between}."
            )
            if unsure:
                yield HOW_TO_MEASURE_ROLL_SHARE
        case "roll share":
            yield (
                f"Front roll share {share} %, by the car file; over its range of {low} to {high} % {diagonal} is "
                f"{between}."
            )
        case "trial weights":
            yield (
                f"How the springs share a load was learned from trial weights (about {share} % of the roll stiffness "
                f"at the front); over what they leave open {diagonal} is {between}."
            )
        case "springs":
            off = f"{100 * question.car.suspension.rates_within:g} %"
            yield (
                f"Springs by the car file: front roll share {share} %; with rates up to {off} off, front against rear, "
                f"{low} to {high} %, and {diagonal} is {between}."
            )
    yield from bars(question, behind)


def bars(question: Question, behind: RollShare) -> Iterator[str]:
    """Which state of the anti-roll bars the diagonal holds for."""
    suspension, weighed = question.car.suspension, question.weigh_in.visit.bars
    if weighed is None:
        if behind.known_by != "springs":  # a car file that gives springs and no bar has none
            yield "The diagonal holds for the bars as they were at the weigh-in (connected or not)."
        return
    raced = suspension.raced_with_bars
    if weighed == raced or not (suspension.has_bars or suspension.front is None):
        yield f"The diagonal holds for the bars {weighed}, as at the weigh-in."
    elif raced == "connected":
        yield (
            "The diagonal holds for the bars disconnected, as at the weigh-in. The car is raced with them: connect "
            "them without preload and weigh once more."
        )
    else:
        yield (
            "The diagonal holds for the bars connected, as at the weigh-in. The car is raced without them: weigh it "
            "without them."
        )
    measured = suspension.measured_with_bars
    if behind.known_by in ("roll share", "trial weights") and measured not in (None, weighed):
        yield (
            f"What is known of the springs was measured with the bars {measured}, and the car was weighed with them "
            f"{weighed}: the diagonal foreseen is less sure than it looks."
        )
