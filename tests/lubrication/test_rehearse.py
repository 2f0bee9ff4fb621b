"""Made-up drives."""

import numpy as np
from benchmarks.drift_power import demo_prior

from witnessmark.lubrication.rehearse import Miss, Sender, rehearse


def test_the_gauge_lags_scatters_and_counts_in_steps():
    system = demo_prior().system
    log = rehearse(system, np.random.default_rng(0), 300, Sender(lag=2.0, noise=0.0, step=1e4))
    assert np.allclose(log.pressure % 1e4 % 1e4, 0)
    true = system.gauge(log.speed, log.temperature)
    late = np.abs(np.diff(log.pressure)).max()
    assert late < np.abs(np.diff(true)).max()


def test_the_same_seed_gives_the_same_drive():
    system = demo_prior().system
    one, two = (rehearse(system, np.random.default_rng(4), 120) for _ in range(2))
    assert np.array_equal(one.pressure, two.pressure)
    assert not np.array_equal(
        one.pressure, rehearse(system, np.random.default_rng(5), 120).pressure
    )


def test_a_miss_is_as_large_as_asked_and_smooth():
    random = np.random.default_rng(1)
    speed, oil = np.full(400, 40.0), np.full(400, 360.0)
    sizes = [Miss.drawn(0.01, random).of(speed, oil)[0] - 1 for _ in range(2000)]
    # A root mean square over 2,000 draws is sure to 2 %.
    assert abs(np.std(sizes) / 0.01 - 1) < 0.08
    near = Miss.drawn(0.01, random).of(np.array([40.0, 40.4]), np.array([360.0, 360.2]))
    assert abs(near[1] - near[0]) < 0.002
