"""Choose ballast plates and places from four corner loads.

The names below do the same as the commands. They are loaded when first used, so that `ballast --help` stays quick.

    read_question(car, weigh_in, rulebook=None)   files to a question; raises InputError with every complaint
    weigh(question)                               what the scales say
    plan(question)                                plates and mounts, checked; raises DisagreementError if we erred
    choices(question, count)                      other plans to choose from, and balance against mass
    predict(question)                             what changes made by hand will do
    read_car_and_lifts(car, lifts)                the two files of `height`
    height(car, lifts)                            the height of the centre of gravity from a raised axle
    wind(question)                                platform turns that bring the diagonal into its band
    read_question_and_trials(car, weigh_in, trials)   the three files of `trial`
    trial(question, trials)                       what known weights and turns tell of the springs
    as_json(answer)                               one JSON object, in the user's units
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ballast.errors import DisagreementError, InputError
    from ballast.jobs.choices import choices
    from ballast.jobs.height import height
    from ballast.jobs.plan import plan
    from ballast.jobs.predict import predict
    from ballast.jobs.trial import trial
    from ballast.jobs.weigh import weigh
    from ballast.jobs.wind import wind
    from ballast.records.files import (
        as_json,
        read_answer,
        read_car_and_lifts,
        read_question,
        read_question_and_trials,
    )

__all__ = [
    "DisagreementError",
    "InputError",
    "as_json",
    "choices",
    "height",
    "plan",
    "predict",
    "read_answer",
    "read_car_and_lifts",
    "read_question",
    "read_question_and_trials",
    "trial",
    "weigh",
    "wind",
]

_HOMES = {
    "DisagreementError": "ballast.errors",
    "InputError": "ballast.errors",
    "as_json": "ballast.records.files",
    "choices": "ballast.jobs.choices",
    "height": "ballast.jobs.height",
    "plan": "ballast.jobs.plan",
    "predict": "ballast.jobs.predict",
    "read_answer": "ballast.records.files",
    "read_car_and_lifts": "ballast.records.files",
    "read_question": "ballast.records.files",
    "read_question_and_trials": "ballast.records.files",
    "trial": "ballast.jobs.trial",
    "weigh": "ballast.jobs.weigh",
    "wind": "ballast.jobs.wind",
}


def __getattr__(name: str) -> Any:
    """Load a public name from where it lives, on first use."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'ballast' has no attribute '{name}'")
