"""The live computation and the offline zero-phase filter in scipy; prints one JSON object."""
import json
import sys
import time

import numpy as np
import scipy
from scipy.signal import butter, sosfilt, sosfilt_zi, sosfiltfilt

RATE_HZ = 1000


def median_ns(run, frames, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter_ns()
        run()
        times.append((time.perf_counter_ns() - start) / frames)
    return sorted(times)[len(times) // 2]


def live(raw, states):
    torque = raw[0] * 0.02 - 1.3
    angle = raw[1] * -0.01 + 90
    emg = raw[2] * 0.001
    trigger = raw[3] * 0.0003
    smooth, states["angle"] = sosfilt(states["angleFilter"], angle, zi=states["angle"])
    velocity = np.diff(smooth, prepend=states["before"]) * RATE_HZ
    states["before"] = smooth[-1]
    muscle = torque - (0.8 - 12 * np.cos(np.deg2rad(angle + 10)))
    drawn, states["torque"] = sosfilt(states["torqueFilter"], muscle, zi=states["torque"])
    return emg, trigger, velocity, drawn


def fresh_states(raw):
    torque_filter = butter(4, 20, fs=RATE_HZ, output="sos")
    angle_filter = butter(4, 15, fs=RATE_HZ, output="sos")
    return {
        "torqueFilter": torque_filter,
        "angleFilter": angle_filter,
        "torque": sosfilt_zi(torque_filter) * raw[0][0],
        "angle": sosfilt_zi(angle_filter) * raw[1][0],
        "before": 0.0,
    }


def main():
    hour = 3_600_000
    t = np.arange(hour)
    noise = np.random.default_rng(1)
    raw = [a * np.sin(t / d) + noise.normal(0, 6, hour) for a, d in ((3000, 300), (4000, 370), (800, 440), (5, 510))]
    frames = 400_000
    short = [column[:frames] for column in raw]
    blocks = [[column[k : k + 20] for column in raw] for k in range(0, 40_000, 20)]
    states = fresh_states(raw)

    def whole():
        live(short, states)

    def in_blocks():
        for block in blocks:
            live(block, states)

    both = np.array([raw[0], raw[1]])
    section = butter(2, 15, fs=RATE_HZ, output="sos")

    def zero_phase_by_channel():
        for column in both:
            sosfiltfilt(section, column)

    json.dump(
        {
            "python": sys.version.split()[0],
            "numpy": np.__version__,
            "scipy": scipy.__version__,
            "wholeArray_ns": median_ns(whole, frames, 7),
            "blocksOf20_ns": median_ns(in_blocks, 40_000, 3),
            "zeroPhaseHour_ms": median_ns(zero_phase_by_channel, 1e6, 5),
        },
        sys.stdout,
    )


main()
