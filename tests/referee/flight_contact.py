"""Another rigid-body engine (MuJoCo) flies the pole from the same hand-over to its first touch of the ground.

    cargo run -p giveway-impact --example flight_export FILE [key=value ...] > flight.json
    python flight_contact.py flight.json

Prints the time of the first touch by both and the distance of the tips then; fails when the times differ by more than
2 % of the flight's length or the tips by more than 3 % of the pole's length.
"""

import json
import math
import sys

import mujoco
import numpy as np


def model(case):
    """The pole as capsules and balls on one free body; its mass properties are given, not those of the shapes."""
    c = np.array(case["centre_m"])
    i = np.array(case["inertia_kgm2"])
    geoms = []

    def capsule(a, b, r):
        a, b = np.asarray(a, float), np.asarray(b, float)
        length = np.linalg.norm(b - a)
        inset = (b - a) / length * min(r, 0.4 * length)
        ends = " ".join(str(x) for x in np.concatenate([a + inset - c, b - inset - c]))
        geoms.append(f'<geom type="capsule" fromto="{ends}" size="{r}"/>')

    pole = case["pole"]
    parts = 6
    for k in range(parts):
        z = [pole["length_m"] * (k + s) / parts for s in (0, 1)]
        d = pole["base_m"] + (pole["tip_m"] - pole["base_m"]) * (k + 0.5) / parts
        capsule([0, 0, z[0]], [0, 0, z[1]], d / 2)
    plate = case["plate"]
    at = " ".join(str(x) for x in np.array([0, 0, plate["thickness_m"] / 2]) - c)
    geoms.append(f'<geom type="cylinder" pos="{at}" size="{plate["radius_m"]} {plate["thickness_m"] / 2}"/>')
    for arm in case["arms"]:
        out = np.array([math.cos(arm["azimuth_rad"]), math.sin(arm["azimuth_rad"]), 0.0])
        root = np.array([0, 0, arm["height_m"]])
        tip = root + out * arm["reach_m"] + np.array([0, 0, arm["rise_m"]])
        capsule(root, tip, (arm["base_m"] + arm["tip_m"]) / 4)
        for lum in arm["luminaires"]:
            r = min(max(math.sqrt(lum["area_m2"] / math.pi), 0.08), 0.25)
            at = " ".join(str(x) for x in tip + out * lum["lever_m"] - c)
            geoms.append(f'<geom type="sphere" pos="{at}" size="{r}"/>')
    full = f"{i[0, 0]} {i[1, 1]} {i[2, 2]} {i[0, 1]} {i[0, 2]} {i[1, 2]}"
    return f"""<mujoco><option timestep="0.0002" integrator="RK4" gravity="0 0 -{case['gravity_mps2']}"/>
      <compiler inertiafromgeom="false" balanceinertia="false"/>
      <worldbody><geom type="plane" size="200 200 1"/>
      <body name="pole"><freejoint/><inertial pos="0 0 0" mass="{case['mass_kg']}" fullinertia="{full}"/>
      {''.join(geoms)}</body></worldbody></mujoco>"""


def rotation(q):
    w, x, y, z = q
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def first_touch(case):
    """Time of the first contact and place of the tip then."""
    m = mujoco.MjModel.from_xml_string(model(case))
    d = mujoco.MjData(m)
    s = case["state"]
    d.qpos[:3], d.qpos[3:] = s["position_m"], s["rotation"]
    # Free joints: linear velocity in the world, angular velocity in the body.
    d.qvel[:3] = s["velocity_mps"]
    d.qvel[3:] = rotation(s["rotation"]).T @ np.array(s["angular_velocity_radps"])
    local = np.array([0, 0, case["pole"]["length_m"]]) - np.array(case["centre_m"])
    while d.time < 10:
        mujoco.mj_step(m, d)
        if d.ncon:
            return d.time, d.qpos[:3] + rotation(d.qpos[3:7]) @ local
    raise SystemExit("no touch of the ground")


def compare(case):
    time, tip = first_touch(case)
    touch = case["touch"]
    ours = np.array(touch["foot_m"]) + rotation(touch["rotation"]) @ np.array([0, 0, case["pole"]["length_m"]])
    return touch["time_s"], time, float(np.linalg.norm(ours - tip))


def main():
    with open(sys.argv[1], encoding="utf-8") as f:
        case = json.load(f)
    ours, theirs, gap = compare(case)
    length = case["pole"]["length_m"]
    print(f"first touch {ours:.4f} s, MuJoCo {theirs:.4f} s; tips {gap:.3f} m apart on a pole of {length} m")
    if abs(ours - theirs) > 0.02 * theirs or gap > 0.03 * length:
        raise SystemExit("outside 2 % of the time or 3 % of the length")


if __name__ == "__main__":
    main()
