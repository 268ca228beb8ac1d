"""Recomputes the measures of a plain table from the published definitions alone, with numpy and scipy.

Written from the user's documentation, not from the program's code: same words, other hands.
Usage: recompute.py TABLE.csv GRAVITY_JSON SPEED_DEG_PER_S   (gravity: {"A": Nm, "H": deg})
Prints one JSON list. Filters: Butterworth of order two, forward and backward, cut-off corrected so that
both passes together have -3 dB at it (Robertson & Dowling 2003): 15 Hz on torque, 10 Hz on angle.
"""

import json
import sys

import numpy as np
from scipy.signal import bilinear_zpk, buttap, lp2lp_zpk, sosfiltfilt, zpk2sos

# numpy 2 renamed the rule.
trapezoid = getattr(np, "trapezoid", None) or np.trapz


def lowpass(x, cutoff_hz, rate_hz):
    """Order two each way; the pre-warped cut-off is divided by (2^(1/2) - 1)^(1/4)."""
    warped = 2 * rate_hz * np.tan(np.pi * cutoff_hz / rate_hz) / (np.sqrt(2) - 1) ** 0.25
    z, p, k = lp2lp_zpk(*buttap(2), wo=warped)
    return sosfiltfilt(zpk2sos(*bilinear_zpk(z, p, k, fs=rate_hz)), x)


def measures(time, torque, angle, velocity, phase):
    """One phase: samples from start to end, both included."""
    inside = (time >= phase["start_s"] - 1e-9) & (time <= phase["end_s"] + 1e-9)
    t, th, w = time[inside], angle[inside], np.radians(velocity[inside])
    tau = phase["effort"] * torque[inside]
    rad = np.radians(th)
    peak = int(np.argmax(tau))
    work = abs(trapezoid(tau, rad))
    duration = t[-1] - t[0]
    return {
        "rangeOfMotion_deg": abs(th[-1] - th[0]),
        "peakVelocity_degps": float(np.max(np.degrees(w) * phase["direction"])),
        "peakTorque_Nm": float(tau[peak]),
        "peakTorqueTime_s": float(t[peak]),
        "angleAtPeakTorque_deg": float(th[peak]),
        "timeToPeakTorque_s": float(t[peak] - t[0]),
        "work_J": float(work),
        "meanPower_W": float(work / duration),
        "peakPower_W": float(np.max(tau * w * phase["direction"])),
        "impulse_Nms": float(trapezoid(tau, t)),
        "meanTorque_Nm": float(work / abs(rad[-1] - rad[0])),
    }


def moving_spans(velocity, dead_band):
    """Half-open spans faster than the dead-band, with their direction."""
    sign = np.where(velocity > dead_band, 1, np.where(velocity < -dead_band, -1, 0))
    edges = np.flatnonzero(np.diff(sign)) + 1
    spans = np.split(np.arange(len(sign)), edges)
    return [(int(s[0]), int(s[-1]) + 1, int(sign[s[0]])) for s in spans if sign[s[0]] != 0]


def walked(velocity, spans, edge):
    """Each span outward until speed is at or below the edge."""
    out = []
    for first, end, sign in spans:
        while first > 0 and sign * velocity[first - 1] > edge:
            first -= 1
        while end < len(velocity) and sign * velocity[end] > edge:
            end += 1
        out.append((first, end, sign))
    return out


def main():
    table = np.genfromtxt(sys.argv[1], delimiter=",", names=True)
    time, rate = table["time_s"], 1 / np.median(np.diff(table["time_s"]))
    gravity = json.loads(sys.argv[2])
    speed = float(sys.argv[3])
    angle = lowpass(table["angle_deg"], 10, rate)
    velocity = np.gradient(angle, 1 / rate)
    torque = lowpass(table["torque_Nm"], 15, rate)
    torque = torque + gravity["A"] * np.cos(np.radians(angle - gravity["H"]))
    dead_band = min(max(5, 0.1 * speed), 0.3 * speed)
    spans = moving_spans(velocity, dead_band)
    # Rest: spans of at least 0.2 s slower than 5 deg/s; robust SD around zero.
    still = np.abs(velocity) < min(5, speed)
    edges = np.flatnonzero(np.diff(still)) + 1
    runs = [r for r in np.split(np.arange(len(still)), edges) if still[r[0]] and len(r) >= 0.2 * rate]
    noise = 1.4826 * np.median(np.abs(velocity[np.concatenate(runs)]))
    spans = walked(velocity, spans, min(4 * noise, dead_band / 2))
    spans = [s for s in spans if s[1] - s[0] > 0.15 * rate and abs(angle[s[1] - 1] - angle[s[0]]) > 20]
    result = []
    for first, end, direction in spans:
        power = trapezoid(torque[first:end], np.radians(angle[first:end]))
        # Work is positive with the movement: concentric efforts go the way of the movement.
        effort = direction if power > 0 else -direction
        phase = {"start_s": time[first], "end_s": time[end - 1], "effort": effort, "direction": direction}
        row = measures(time, torque, angle, velocity, phase)
        row.update(start_s=float(time[first]), end_s=float(time[end - 1]))
        row["action"] = "concentric" if effort == direction else "eccentric"
        result.append(row)
    print(json.dumps(result))


if __name__ == "__main__":
    main()
