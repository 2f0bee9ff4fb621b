"""Which channel stands for load, and when manifold pressure must not."""

import numpy as np

from tests.made import KPA, RPM, make_case, make_log
from witnessmark.model.log import Log

N = 400
DRIVE = {"engine_speed": np.linspace(900, 3000, N) * RPM}


def diesel() -> Log:
    """Manifold pressure never under the atmosphere; the pedal rests at 14 %."""
    return make_log({
        **DRIVE,
        "manifold_pressure": np.linspace(98, 180, N) * KPA,
        "pedal_position": np.r_[np.full(N // 2, 0.14), np.linspace(0.14, 0.6, N // 2)],
    })  # fmt: skip


def test_manifold_pressure_is_load_on_a_throttled_engine():
    log = make_log({**DRIVE, "manifold_pressure": np.linspace(30, 95, N) * KPA})
    assert make_case(log).load.channel == "manifold_pressure"


def test_on_a_free_breathing_engine_the_pedal_above_rest_is_load_and_it_says_why():
    load = make_case(diesel()).load
    assert load.channel == "pedal_position"
    assert "as on a diesel" in load.why
    assert load.values.min() == 0.0


def test_the_pedal_at_rest_is_a_shut_throttle_even_when_rest_is_not_zero():
    shut, by = make_case(diesel()).closed
    assert by == "accelerator pedal"
    assert shut[: N // 2].all()
    assert not shut[-20:].any()


def test_a_throttle_that_never_moves_with_the_driver_is_no_measure():
    log = make_log({**DRIVE, "throttle_position": np.full(N, 0.835)})
    assert make_case(log).load is None
    assert make_case(log).closed is None
