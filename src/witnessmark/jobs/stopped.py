"""An engine its tuner stopped stays stopped: whatever is asked of its plan, that comes first."""

from witnessmark.errors import UserError
from witnessmark.model.plan import RunPlan

_REMEDY = (
    "Ask the tuner. After a rebuild make a plan from the new build sheet; if he lets it go on, "
    "take his new answer into this plan"
)


def refuse_stopped(plan: RunPlan) -> None:
    """Raise UserError with the tuner's own words if he stopped this engine."""
    stop = plan.stopped
    if stop is not None:
        words = stop.words.rstrip(".")
        raise UserError(
            f"plan {plan.serial}",
            f"STOPPED by the tuner, {stop.signed_by}, on {stop.signed_on}: {words}",
            "This plan is closed until he says otherwise", _REMEDY,
        )  # fmt: skip
