"""A question put after a plan was carried out: its plates stand on the car, and nobody has weighed it since."""

from ballast.errors import Complaint, InputError
from ballast.jobs.pads import sound
from ballast.records.changed import Changed, Placed
from ballast.records.plan import Answer
from ballast.records.question import Question
from ballast.records.together import complaints


def carried_out(question: Question, done: Answer, file: str) -> Question:
    """The question with the plates of a saved plan standing. file : its name, for complaints.

    Raises InputError when the plan was made from another weigh-in, or of another car, or when it is none.
    """
    before, now = done.question, sound(question)
    if not done.plan.cases:
        fix = "plan again until there is a plan, carry that out, and give its file."
        raise InputError([Complaint("holds the answer that there is no plan: nothing can stand by it", fix, file=file)])
    if before.weigh_in != now.weigh_in:
        fix = (
            "give the weigh-in this plan was made from; or, if the car was weighed again since, write what stood on it "
            "below [[fitted]] in that weigh-in, and leave --carried-out away."
        )
        raise InputError([Complaint("was planned from another weigh-in", fix, file=file)])
    if now.changed and now.changed.placed:
        fix = "take [[placed]] out of the file of changes, or leave --carried-out away."
        raise InputError([Complaint("says which plates stand, and so does the file of changes", fix, file=file)])
    parts = now.changed or before.changed or Changed(units=now.car.units)
    after = now.replace(changed=parts.replace(placed=tuple(_placed(done))))
    across = [complaint for part, complaint in complaints(after) if part == "changed"]
    if across:
        fix = "the mounts and plates of the car file must be those the plan was made with."
        # The tables that the complaints speak of were never in a file: only the name that is unknown tells anything.
        found = (
            Complaint(one.what, fix, one.where.partition("] ")[2].lstrip("0123456789 "), one.value, file)
            for one in across
        )
        raise InputError(dict.fromkeys(found))
    return after


def _placed(done: Answer) -> list[Placed]:
    """Every count the plan left standing; zeros wherever plates stood before, at the weigh-in or by an earlier plan."""
    question, plan = done.question, done.plan
    kit = {mount.name for mount in question.car.mounts if mount.changes_with_driver}
    crew: list[str | None] = [driver.name for driver in question.car.drivers] or [None]
    earlier = [(row.mount, row.plate) for row in question.weigh_in.fitted]
    earlier += [(row.mount, row.plate) for row in (question.changed.placed if question.changed else ())]
    counts = {(mount, plate, who): 0 for mount, plate in earlier for who in (crew if mount in kit else [None])}
    counts |= {(row.mount, row.plate, row.driver): row.count for row in plan.fit}
    return [Placed(mount=m, plate=p, count=count, driver=who) for (m, p, who), count in counts.items()]
