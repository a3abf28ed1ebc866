"""Wall times: the referee's run, and a rigid set-up of the same event stepped in MuJoCo.

    python speed.py case.json [--no-referee]

MuJoCo set-up: car and pole are two free bodies with the case's mass properties and no collision shapes. Three
stick springs at the bolt seats (stick stiffness, capped by (mu_o + mu_i) F_p, released after the free travel) and
one crush spring at the first band (the slope of the whole crush curve) act as external forces. MuJoCo's own step
is refined until the speed change moves by less than 1 %; the largest such step counts.

References
- Todorov, Erez, Tassa (2012), MuJoCo: a physics engine for model-based control.
"""

import argparse
import json
import math
import time

import caseio  # first: sets the thread count
import numpy as np

from rigid_flight import mass_properties

SPAN = 0.08  # s of event


class Rigid:
    """Two rigid bodies in MuJoCo with the forces of the event computed outside."""

    def __init__(self, case):
        import mujoco

        self.mj, self.case = mujoco, case
        # The search runs over unstable steps on purpose: no warnings and no log file for them.
        mujoco.set_mju_user_warning(lambda _: None)
        v, support = case["vehicle"], mass_properties(case)
        i = np.asarray(support["inertia_kgm2"])
        full = f"{i[0, 0]} {i[1, 1]} {i[2, 2]} {i[0, 1]} {i[0, 2]} {i[1, 2]}"
        c = np.asarray(support["centre_m"]) + [0.0, 0.0, case["site"]["slip_plane_height_m"]]
        band = v["front"]["bands"][0]
        self.height = 0.5 * (band["lower_m"] + band["upper_m"])
        self.radius = 0.5 * case["support"]["pole"]["base_diameter_m"]
        car_x = -self.radius - v["cg_to_front_m"] + band["setback_m"]
        self.model = mujoco.MjModel.from_xml_string(f"""
<mujoco><option gravity="0 0 {-case['site']['gravity_mps2']}" integrator="Euler"/>
 <worldbody>
  <body name="car" pos="{car_x} 0 {v['cg_height_m']}"><freejoint/>
   <inertial pos="0 0 0" mass="{v['mass_kg']}" diaginertia="{v['roll_inertia_kgm2']} {v['pitch_inertia_kgm2']} {v['yaw_inertia_kgm2']}"/></body>
  <body name="pole" pos="{c[0]} {c[1]} {c[2]}"><freejoint/>
   <inertial pos="0 0 0" mass="{support['mass_kg']}" fullinertia="{full}"/></body>
 </worldbody></mujoco>""")
        base = case["base"]
        n, r = base["bolt_count"], base["bolt_circle_m"] / 2.0
        angles = base["first_bolt_azimuth_rad"] + 2.0 * math.pi * np.arange(n) / n
        z = case["site"]["slip_plane_height_m"]
        self.seats = np.column_stack([r * np.cos(angles), r * np.sin(angles), np.full(n, z)])
        self.local = self.seats - c
        self.hit = np.array([0.0, 0.0, self.height]) - c
        self.front = np.array([-self.radius - car_x, 0.0, self.height - v["cg_height_m"]])
        self.slope = band["crush_curve"][-1][1] / band["crush_curve"][-1][0]
        self.limit = (base["friction_outer"] + base["friction_inner"]) * base["preload_n"]
        self.travel, self.stick = base["notch_travel_m"], case["solver"]["stick_stiffness_npm"]
        self.weight = v["mass_kg"] * case["site"]["gravity_mps2"]

    def run(self, step):
        """Speed lost by the car in SPAN, and the wall time of stepping and of the whole loop, s."""
        mj, model = self.mj, self.model
        model.opt.timestep = step
        data = mj.MjData(model)
        data.qvel[0] = self.case["impact"]["speed_mps"]
        slip, held, crush = np.zeros((len(self.seats), 2)), np.ones(len(self.seats), bool), 0.0
        steps, stepping, began = int(round(SPAN / step)), 0.0, time.perf_counter()
        mj.mj_forward(model, data)
        for _ in range(steps):
            rot, centre = data.xmat[2].reshape(3, 3), data.xpos[2]
            force, torque = np.zeros(3), np.zeros(3)
            for k in np.nonzero(held)[0]:
                arm = rot @ self.local[k]
                s = centre + arm - self.seats[k]
                pull = self.stick * (s[:2] - slip[k])
                size = math.hypot(pull[0], pull[1])
                if size > self.limit:
                    pull *= self.limit / size
                    slip[k] = s[:2] - pull / self.stick
                held[k] = math.hypot(s[0], s[1]) < self.travel
                f = np.array([-pull[0], -pull[1], -self.stick * s[2]])
                force, torque = force + f, torque + np.cross(arm, f)
            front = data.xpos[1] + data.xmat[1].reshape(3, 3) @ self.front
            arm = rot @ self.hit
            depth = front[0] - (centre + arm)[0] + self.radius
            push = 0.0
            if depth > 0.0:
                crush = max(crush, depth)
                push = max(0.0, self.slope * crush - 5.0 * self.slope * (crush - depth))
            f = np.array([push, 0.0, 0.0])
            data.xfrc_applied[2, :3], data.xfrc_applied[2, 3:] = force + f, torque + np.cross(arm, f)
            data.xfrc_applied[1, :3] = [-push, 0.0, self.weight]
            data.xfrc_applied[1, 3:] = np.cross(front - data.xpos[1], -f)
            mark = time.perf_counter()
            mj.mj_step(model, data)
            stepping += time.perf_counter() - mark
        lost = self.case["impact"]["speed_mps"] - data.qvel[0]
        return float(lost), stepping, time.perf_counter() - began

    def bare_step(self, count=20000, repeats=7):
        """Time of one step in MuJoCo's own loop, without Python between, s: the least of the repeats."""
        times = []
        for _ in range(repeats):
            data = self.mj.MjData(self.model)
            began = time.perf_counter()
            self.mj.mj_step(self.model, data, nstep=count)
            times.append((time.perf_counter() - began) / count)
        return min(times)


def mujoco_times(case):
    """Stable step, and times per step and per run."""
    rigid = Rigid(case)
    steps = [2e-3, 1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5, 1e-5]
    runs = [rigid.run(s) for s in steps]
    fine = runs[-1][0]
    good = [k for k in range(len(steps))
            if all(math.isfinite(r[0]) and abs(r[0] / fine - 1.0) < 0.01 for r in runs[k:])]
    k = good[0]
    count, bare = round(SPAN / steps[k]), rigid.bare_step()
    return {"engine": f"mujoco {rigid.mj.__version__}", "span_s": SPAN, "largest_good_step_s": steps[k],
            "speed_change_mps": runs[k][0], "speed_change_fine_mps": fine, "bare_step_s": bare,
            "bare_run_s": bare * count, "called_step_s": runs[k][1] / count, "python_run_s": runs[k][2],
            "bare_run_at_50us_s": bare * SPAN / 5e-5}


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("case")
    parser.add_argument("--no-referee", action="store_true")
    args = parser.parse_args()
    case = caseio.load(args.case)
    out = {"mujoco": mujoco_times(case)}
    if not args.no_referee:
        from planar import Planar

        began = time.process_time()
        result = Planar(case).run()
        out["referee"] = {"cpu_s": time.process_time() - began, "wall_s": result["work"]["wall_s"], "event_s": result["end_time_s"],
                          "steps": result["work"]["steps"], "evaluations": result["work"]["evaluations"]}
    print(json.dumps(out, indent=1))


if __name__ == "__main__":
    main()
