"""Prints the reference values that the tables beside this file credit to SciPy or to another library.

Run with Python 3.11, NumPy 2, SciPy 1.17.
Nothing here is read by the Rust code; only the printed numbers went into the tables.
"""
import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.signal import butter, lfilter

G = 9.80665
T = 1e-4


def both_ways(x, design_hz, before, after, pad=20000):
    """Second-order Butterworth forward and backward over an explicitly padded signal."""
    b, a = butter(2, design_hz, fs=1 / T)
    long = np.concatenate([np.full(pad, before), x, np.full(pad, after)])
    long = lfilter(b, a, long - before) + before
    end = after
    long = (lfilter(b, a, (long - end)[::-1]) + end)[::-1]
    return long[pad : pad + len(x)]


def half_sine_middles(peak, length_s, count):
    t = (np.arange(count) + 0.5) * T
    return np.where(t < length_s, peak * np.sin(np.pi * t / length_s), 0.0)


def half_sine_means(peak, length_s, count):
    """Mean over each interval."""
    edge = np.minimum(np.arange(count + 1) * T, length_s)
    v = peak * length_s / np.pi * (1 - np.cos(np.pi * edge / length_s))
    return np.diff(v) / T


print("filter, half sine 20 over 100 ms, CFC 60, rest on both sides")
y = both_ways(half_sine_middles(20.0, 0.1, 3000), 60 * 2.0775, 0.0, 0.0)
for i in (0, 100, 499, 950, 1050):
    print(f"  [{i}] {y[i]:.12f}")

print("filter, record of 400 samples 3 + sin(0.03 i), CFC 180, rest before, hold after")
x = 3 + np.sin(0.03 * np.arange(400))
y = both_ways(x, 180 * 2.0775, 0.0, x[-1])
for i in (0, 5, 200, 395, 399):
    print(f"  [{i}] {y[i]:.12f}")

print("ASI, half sine 20 g over 100 ms, 13 Hz")
factor = (np.sqrt(2) - 1) ** -0.25
y = both_ways(half_sine_means(20.0, 0.1, 5000), 13 * factor, 0.0, 0.0, 60000)
print(f"  {np.abs(y).max() / 12:.12f}")

print("PHD, half sine 20 g over 100 ms, 10 Hz, after contact")
y = both_ways(half_sine_means(20.0, 0.1, 5000), 10 * factor, 0.0, 0.0, 60000)
u = lambda t: 20 * G * 0.1 / np.pi * (t - 0.1 / np.pi * np.sin(np.pi * t / 0.1))
contact = brentq(lambda t: u(t) - 0.6, 0.01, 0.1, xtol=1e-15)
after = (np.arange(5000) + 0.5) * T >= contact
print(f"  contact {contact:.9f}  {np.abs(y[after]).max():.12f}")
v = lambda t: 20 * G * 0.1 / np.pi * (1 - np.cos(np.pi * min(t, 0.1) / 0.1))
print(f"  ridedown from contact {(v(contact + 0.01) - v(contact)) / 0.01 / G:.9f} g")

print("THIV, general plane motion, Runge-Kutta of order 8 with event")
ax = lambda t: -60.0 * np.sin(np.pi * t / 0.2)
ay = lambda t: 25.0 * np.sin(2 * np.pi * t / 0.2)
w = lambda t: 4.0 * np.sin(np.pi * t / 0.4)
R0 = np.array([0.35, 0.4])


def rates(t, s):
    # state: psi, centre x y, centre velocity; the head flies straight
    psi, cx, cy, vx, vy = s
    c, n = np.cos(psi), np.sin(psi)
    return [w(t), vx, vy, c * ax(t) - n * ay(t), n * ax(t) + c * ay(t)]


HEADING, SPEED = 0.3, 20.0
start = [HEADING, 5.0, -2.0, SPEED * np.cos(0.2), SPEED * np.sin(0.2)]
c, n = np.cos(HEADING), np.sin(HEADING)
head0 = np.array(start[1:3]) + np.array([c * R0[0] - n * R0[1], n * R0[0] + c * R0[1]])
head_v = np.array(start[3:5])  # w(0) = 0


def in_vehicle(t, s):
    d = head0 + head_v * t - s[1:3]
    c, n = np.cos(s[0]), np.sin(s[0])
    return np.array([c * d[0] + n * d[1], -n * d[0] + c * d[1]])


def left(t, s):
    return 0.3 - abs(in_vehicle(t, s)[1] - R0[1])


def ahead(t, s):
    return 0.6 - abs(in_vehicle(t, s)[0] - R0[0])


left.terminal = ahead.terminal = True
run = solve_ivp(rates, (0, 0.4), start, method="DOP853", events=[left, ahead], rtol=1e-12, atol=1e-13)
t, s = run.t[-1], run.y[:, -1]
r = in_vehicle(t, s)
d = head_v - s[3:5]
c, n = np.cos(s[0]), np.sin(s[0])
rel = np.array([c * d[0] + n * d[1] + w(t) * r[1], -n * d[0] + c * d[1] - w(t) * r[0]])
print(f"  t {t:.9f}  moved {r - R0}  THIV {np.hypot(*rel):.9f} m/s {3.6 * np.hypot(*rel):.8f} km/h  velocity {rel}")

print("flail space, same accelerations in vehicle axes, no turning")
run = solve_ivp(
    lambda t, s: [s[2], s[3], -ax(t), -ay(t)],
    (0, 0.4),
    [0.0, 0.0, 0.0, 0.0],
    method="DOP853",
    events=[lambda t, s: 0.6 - abs(s[0]), lambda t, s: 0.3 - abs(s[1])],
    rtol=1e-12,
    atol=1e-13,
)
first = min((e[0], i) for i, e in enumerate(run.t_events) if len(e))
state = run.y_events[first[1]][0]
print(f"  t* {first[0]:.9f}  OIV {state[2]:.9f} {state[3]:.9f}")
