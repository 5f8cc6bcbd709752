"""One quiet, single-threaded HiGHS model, set up the same everywhere."""

import highspy


class QuietModel(highspy.Highs):
    """HiGHS without its banner, which turning the callbacks on would print."""

    def enableCallbacks(self) -> None:  # noqa: N802  # highspy's own name
        """Callbacks stay off: nothing here uses them."""


def new_model() -> QuietModel:
    """An empty model: no output, one thread, no time limit, a fixed seed."""
    model: QuietModel = QuietModel()  # type: ignore[no-untyped-call]  # highspy's constructor
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("presolve", "off"),
        ("solver", "simplex"),
        ("random_seed", 0),
    ):
        model.setOptionValue(option, value)
    return model
