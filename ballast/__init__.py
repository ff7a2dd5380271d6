"""Choose ballast plates and places from four corner loads.

The names below do the same as the commands, without printing. They are loaded when first used, so that `ballast --help`
stays quick. Each reader raises InputError with every complaint about its files, each answer is a frozen record.

    read_question(car, weigh_in, rulebook=None, ledger=None, changed=None)      files to a Question
    read_visits(car, weigh_ins, rulebook=None)     a Question for each weigh-in of one car
    read_car(path)  read_weigh_in(path)  read_lifts(path)  read_trials(path)    one file each
    read_answer(path)                              what `plan --save` kept: an Answer, question and plan

    weigh(question)                    Weighed        what the scales say, and whether to plan on it
    history(questions)                 History        what changed between two visits or more
    plan(question)                     Answer         plates and mounts, every sum and limit checked by other code
    choices(question, count)           Answer         the same with other plans, and what mass buys in balance
    predict(question)                  Predicted      what the file of changes will do
    compare(answer, weigh_in)          Compared       a re-weigh against the plan, and what explains the rest
    wind(question)                     Wound          platform turns that bring the diagonal into its band
    trial(question, trials)            Tried          what known weights and turns tell of the springs
    height(car, lifts)                 MeasuredHeight height of the centre of gravity, from a raised axle
    both_heights(car, lifts, lifts)    BothAxles      the same from either axle
    as_json(answer)                    str            one JSON object, in the units of the user's files

Units: records hold kg, m, litres, N/m and shares from 0 to 1, whatever the files are written in (keys that end in
percent too: 0.5 is 50 %); `as_json` converts back. Shapes: a load or a pad by its corner, LF, RF, LR, RR; a settling
is one Reading, a weigh-in has a tuple of them. A place is behind_front_axle, left_of_centre and above_ground.

Errors: InputError for input that cannot be used, with `complaints`; DisagreementError where the independent check
finds other sums than the planner (a fault of this package). A rule that is broken, or a plan that is impossible, is no
error: see `plan.legal`, `plan.outcome` and the `findings`.

Source: levers and springs on four wheels as in DEVELOPERS.md, Physics; the handbooks, standards and regulations each
part is checked against are named in tests/published.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ballast.errors import DisagreementError, InputError
    from ballast.jobs.choices import choices
    from ballast.jobs.compare import compare
    from ballast.jobs.height import both as both_heights
    from ballast.jobs.height import height
    from ballast.jobs.history import history
    from ballast.jobs.plan import plan
    from ballast.jobs.predict import predict
    from ballast.jobs.trial import trial
    from ballast.jobs.weigh import weigh
    from ballast.jobs.wind import wind
    from ballast.records.files import (
        as_json,
        read_answer,
        read_car,
        read_lifts,
        read_question,
        read_trials,
        read_visits,
        read_weigh_in,
    )

__all__ = [
    "DisagreementError",
    "InputError",
    "as_json",
    "both_heights",
    "choices",
    "compare",
    "height",
    "history",
    "plan",
    "predict",
    "read_answer",
    "read_car",
    "read_lifts",
    "read_question",
    "read_trials",
    "read_visits",
    "read_weigh_in",
    "trial",
    "weigh",
    "wind",
]

_HOMES = {
    "ballast.errors": ("DisagreementError", "InputError"),
    "ballast.records.files": ("as_json", *(name for name in __all__ if name.startswith("read_"))),
    **{
        f"ballast.jobs.{name}": (name,)
        for name in ("choices", "compare", "height", "history", "plan", "predict", "trial", "weigh", "wind")
    },
}


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives, on first use."""
    if name == "both_heights":
        return import_module("ballast.jobs.height").both
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'ballast' has no attribute '{name}'")
