"""Signal and occupant checks: channel filter through SciPy, flail space, THIV, ASI.

Continuous pulses are integrated with solve_ivp events (no sampling), sampled records with exact sums.

References
- SAE J211-1 Appendix C: two-pole Butterworth, w_d = 2 pi CFC 2.0775, bilinear with pre-warp, forward and backward.
  scipy.signal.butter pre-warps by itself, so its corner is CFC * 2.0775 Hz.
- Michie, TRR 796 (1981): flail space 0.6 m forward, 0.3 m sideways. EN 1317-1: THIV, ASI. All recalled.
"""

import math

import numpy as np
from scipy import signal
from scipy.integrate import solve_ivp

G = 9.80665


def cfc_coefficients(cls, interval):
    """Numerator and denominator of one pass."""
    return signal.butter(2, cls * 2.0775, fs=1.0 / interval)


def cfc(samples, interval, cls):
    """Forward and backward pass from rest."""
    b, a = cfc_coefficients(cls, interval)
    return signal.lfilter(b, a, signal.lfilter(b, a, samples)[::-1])[::-1]


def half_sine(peak_g, duration):
    """Deceleration pulse, m/s^2."""
    return lambda t: peak_g * G * math.sin(math.pi * t / duration) if 0.0 <= t <= duration else 0.0


def flail(pulse, distance, end=1.5, breaks=()):
    """Time of flail contact and relative velocity then, for a one-axis deceleration pulse(t)."""
    def hit(_, y):
        return y[0] - distance

    hit.terminal = True
    y, edges = np.zeros(2), [0.0, *breaks, end]
    for lo, hi in zip(edges, edges[1:]):
        # Evaluate strictly inside the piece, so that a jump at its end is not seen from the wrong side.
        run = solve_ivp(lambda t, y: [y[1], pulse(min(max(t, lo + 1e-12), hi - 1e-12))], (lo, hi), y, events=hit,
                        method="DOP853", rtol=1e-11, atol=1e-13, max_step=0.005)
        if run.t_events[0].size:
            return float(run.t_events[0][0]), float(run.y_events[0][0][1])
        y = run.y[:, -1]
    return None, float(y[1])


def thiv_yaw(rate, head):
    """Time and THIV (m/s) of a vehicle that only yaws, centre at rest, head `head` ahead of it."""
    def rhs(_, y):
        # Vehicle axes: a free particle seen from a turning frame, r'' = 2 w r' x z + w^2 r.
        return [y[2], y[3], 2.0 * rate * y[3] + rate**2 * y[0], -2.0 * rate * y[2] + rate**2 * y[1]]

    def ahead(_, y):
        return abs(y[0] - head) - 0.6

    def aside(_, y):
        return abs(y[1]) - 0.3

    ahead.terminal = aside.terminal = True
    run = solve_ivp(rhs, (0.0, 5.0), [head, 0.0, 0.0, 0.0], events=(ahead, aside), method="DOP853", rtol=1e-12,
                    atol=1e-13)
    return float(run.t[-1]), float(math.hypot(run.y[2, -1], run.y[3, -1]))


def running_mean(samples, interval, window):
    """Means over every window of whole intervals."""
    count = int(round(window / interval))
    total = np.concatenate([[0.0], np.cumsum(samples)])
    return (total[count:] - total[:-count]) / count


def asi(acceleration, interval):
    """ASI from 50 ms means of the three axes (limits 12, 9, 10 g); acceleration (n, 3), m/s^2."""
    a = np.asarray(acceleration) / G
    means = [running_mean(a[:, k], interval, 0.05) / limit for k, limit in enumerate((12.0, 9.0, 10.0))]
    return float(np.max(np.sqrt(sum(m * m for m in means))))


def flail_sampled(acceleration, interval):
    """OIV of a sampled record without yaw: (t*, OIV_x, OIV_y); t* is None when nothing is reached.

    acceleration (n, 2 or 3), mean over each interval, vehicle axes.
    """
    a = np.asarray(acceleration)[:, :2]
    v = np.vstack([[0.0, 0.0], np.cumsum(a, axis=0) * interval])
    x = np.vstack([[0.0, 0.0], np.cumsum(v[:-1] * interval + 0.5 * a * interval**2, axis=0)])
    best = None
    for axis, limit in ((0, 0.6), (1, 0.3)):
        over = np.nonzero(abs(x[:, axis]) >= limit)[0]
        if len(over) == 0:
            continue
        i = int(over[0]) - 1
        target = math.copysign(limit, x[i + 1, axis]) - x[i, axis]
        roots = np.roots([0.5 * a[i, axis], v[i, axis], -target]) if a[i, axis] else np.array([target / v[i, axis]])
        real = [r.real for r in roots if abs(r.imag) < 1e-12 and -1e-12 <= r.real <= interval * (1 + 1e-9)]
        t = i * interval + min(real)
        if best is None or t < best[0]:
            best = (t, i)
    if best is None:
        return None, float(v[-1, 0]), float(v[-1, 1])
    t, i = best
    oiv = v[i] + a[i] * (t - i * interval)
    return t, float(oiv[0]), float(oiv[1])


def ridedown(acceleration, interval, start):
    """Largest 10 ms mean of x and y after `start`, g."""
    a = np.asarray(acceleration)[int(math.ceil(start / interval)):]
    return [float(np.max(abs(running_mean(a[:, k], interval, 0.01)))) / G for k in (0, 1)]
