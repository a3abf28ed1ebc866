"""Self-checks of the referee, and its verdict on exported results of the program.

    pytest tests/referee                                self-checks, no program needed
    GIVEWAY_EXPORTS=folder pytest tests/referee         also compares `<name>.scenario.json` with `<name>.summary.json`
"""

import concurrent.futures
import copy
import json
import math
import os
import pathlib

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import caseio
import collect
import compare
import findings
import modes
import rigid_flight
import signals
from beam import Pole
from crush import Band
from joint import Joint
from planar import Planar, run_beside

HERE = pathlib.Path(__file__).parent
CASES = ["car30_bolt000", "car30_bolt180", "car100_four_bolts"]


def load(name):
    return caseio.load(HERE / "cases" / f"{name}.json")


@pytest.fixture(scope="session")
def results():
    """Planar runs of the example cases, made once."""
    return {name: Planar(load(name)).run() for name in CASES}


# ---- sections, beam, modes -------------------------------------------------------------------------------------


def test_square_section_by_hand():
    tube = {"section": "square", "base_diameter_m": 0.2, "tip_diameter_m": 0.2, "wall_m": 0.005}
    _, area, second = caseio.section(tube, 0.5)
    assert area == pytest.approx(0.2**2 - 0.19**2, rel=1e-12)
    assert second == pytest.approx((0.2**4 - 0.19**4) / 12.0, rel=1e-12)
    # Z of a solid square b is b^3 / 4.
    assert caseio.plastic_modulus(tube, 0.5) == pytest.approx((0.2**3 - 0.19**3) / 4.0, rel=1e-12)


def test_many_sides_approach_the_circle():
    flat = {"section": "sixteen-sided", "base_diameter_m": 0.2, "tip_diameter_m": 0.2, "wall_m": 0.004}
    ring = flat | {"section": "round"}
    assert caseio.section(flat, 0.0)[1] == pytest.approx(caseio.section(ring, 0.0)[1], rel=0.02)
    assert caseio.plastic_modulus(flat, 0.0) == pytest.approx(caseio.plastic_modulus(ring, 0.0), rel=0.03)


def uniform(damping=0.0):
    steel = load(CASES[0])["support"]["pole"]["material"]
    tube = {"section": "round", "base_diameter_m": 0.2, "tip_diameter_m": 0.2, "wall_m": 0.004, "material": steel}
    return {"pole": tube, "pole_length_m": 10.0, "arms": [], "lumps": [], "plate_mass_kg": 0.0,
            "damping_ratio": damping}


def test_uniform_tube_closed_form():
    support = uniform()
    _, area, second = caseio.section(support["pole"], 0.0)
    base = math.sqrt(2.1e11 * second / (7850.0 * area)) / (2.0 * math.pi * 100.0)
    assert modes.frequencies(support, 0.0, rotary=False)[0] == pytest.approx(4.730040745**2 * base, rel=1e-8)
    assert modes.frequencies(support, 0.0, clamped=True, rotary=False)[0] == pytest.approx(1.875104069**2 * base, rel=1e-7)
    assert modes.tip_deflection(support) == pytest.approx(1000.0 / (3.0 * 2.1e11 * second), rel=1e-10)


@pytest.mark.parametrize("name", CASES)
def test_finite_elements_against_ritz(name):
    case = load(name)
    support = case["support"]
    inertia = modes.plate_inertia(case)
    pole = Pole(support, inertia, 40, [])
    ours = pole.omega[3:8] / (2.0 * math.pi)
    assert ours == pytest.approx(modes.frequencies(support, inertia)[:5], rel=1e-4)


def test_static_deflection_against_unit_load():
    case = load(CASES[0])
    pole = Pole(case["support"], 0.1, 40, [])
    load_vector = np.zeros(3 * pole.count)
    load_vector[-3] = 1.0
    tip = np.linalg.solve(pole.stiffness()[3:, 3:], load_vector[3:])[-3]
    assert tip == pytest.approx(modes.tip_deflection(case["support"]), rel=1e-4)


def test_push_is_the_gradient_of_the_gap():
    # Rate of the gap by differences against the push on a leaning, bent pole (docs/theory.md, 4.3).
    planar = Planar(load(CASES[0]), elements=8)
    y = planar.initial()
    rng = np.random.default_rng(3)
    y[3:planar.n:3] += 0.2 * planar.pole.s + 0.02 + 0.01 * np.sin(planar.pole.s)
    y[5:planar.n:3] += 0.2 + 0.01 * np.cos(planar.pole.s)
    y[0] += 0.3
    y[2] = 0.03
    move = np.zeros_like(y)
    move[:planar.n] = 1e-6 * rng.standard_normal(planar.n)

    def look(state):
        return planar.contact(0, state, planar.pole.internal(state[3:planar.n])[1], False)

    hit, later, earlier = look(y), look(y + move), look(y - move)
    spot, (rx, rz, gx, gz, _) = hit[1], hit[2]
    shift = planar.pole.shape(spot) @ move[3 + 3 * spot[0]:9 + 3 * spot[0]]
    dx, dz = shift[0] - move[0] - move[2] * (rz - y[1]), shift[1] - move[1] + move[2] * (rx - y[0])
    assert 0.5 * (later[3] - earlier[3]) == pytest.approx(-(gx * dx + gz * dz), rel=2e-3)


def test_spinning_pole_keeps_energy_and_momentum():
    # A bent pole that tumbles freely through 0.8 rad: co-rotational elements, turning mass matrix.
    pole = Pole(uniform(), 0.0, 6, [])
    size = 3 * pole.count
    q, v = pole.reference.copy(), np.zeros(size)
    shape = pole.shapes[:, 3]
    q += 0.05 * shape / abs(shape[0])
    spin = 4.0
    v[0::3], v[1::3], v[2::3] = spin * (q[1::3] - 5.0), -spin * q[0::3], spin

    def rhs(_, y):
        q, v = y[:size], y[size:]
        return np.concatenate([v, pole.acceleration(q, v, -pole.internal(q)[0])[0]])

    def momentum(q, v):
        angle, _ = pole.mean_angle(q, v)
        sin, cos = np.sin(angle), np.cos(angle)
        p = pole.rotate(pole.mass @ pole.rotate(v, -sin, cos), sin, cos)
        return np.array([p[0::3].sum(), p[1::3].sum(), (q[1::3] * p[0::3] - q[0::3] * p[1::3] + p[2::3]).sum()])

    run = solve_ivp(rhs, (0.0, 0.2), np.concatenate([q, v]), method="DOP853", rtol=1e-8, atol=1e-10)
    end_q, end_v = run.y[:size, -1], run.y[size:, -1]
    start = pole.kinetic(q, v) + pole.strain_energy(q)
    assert pole.kinetic(end_q, end_v) + pole.strain_energy(end_q) == pytest.approx(start, rel=1e-4)
    assert momentum(end_q, end_v) == pytest.approx(momentum(q, v), rel=1e-5, abs=1e-3 * abs(momentum(q, v)[2]))
    assert pole.mean_angle(end_q, end_v)[0] > 0.7


# ---- slip joint ------------------------------------------------------------------------------------------------


def plain_joint(**changes):
    case = copy.deepcopy(load(CASES[0]))
    case["base"].update({"keeper": None} | changes)
    return Joint(case)


def test_static_wedge():
    # f_L = f_U = f, gamma = 90 degrees, mu_w = 0: S = f / sin b.
    joint = plain_joint(bolt_count=4, friction_wall=0.0, notch_half_angle_rad=0.6)
    force, _ = joint.resistance(joint.bolts[1], 1e-6, 1.0, 30000.0, 30000.0)
    assert force == pytest.approx(0.4 * 30000.0 / math.sin(0.6), rel=1e-9)


@pytest.mark.parametrize("gamma_deg", [60.0, 75.0, 100.0, 120.0])
@pytest.mark.parametrize("mu_w", [0.0, 0.15])
def test_squeezed_bolt_by_equilibrium(gamma_deg, mu_w):
    # Unknown wall forces from the equilibrium of the massless bolt as a 2 x 2 system: notch axis n = (1, 0).
    joint = plain_joint(friction_wall=mu_w, first_bolt_azimuth_rad=-math.radians(gamma_deg))
    beta, f_low, f_up = joint.beta, 18000.0, 12000.0
    s, c = math.sin(beta), math.cos(beta)
    # With t on the side of s the bolt slides along lower wall (c, s) and, seen from the upper plate, along (c, -s).
    along_low, along_up = np.array([c, s]), np.array([c, -s])
    push_low, push_up = np.array([s, -c]), np.array([s, c])
    a = np.column_stack([push_low - mu_w * along_low, push_up - mu_w * along_up])
    n_low, n_up = np.linalg.solve(a, f_low * along_low + f_up * along_up)
    upper = -(n_up * push_up - (f_up + mu_w * n_up) * along_up)
    g = math.radians(gamma_deg)
    expected = -upper @ np.array([math.cos(g), math.sin(g)])
    joint.keeper = f_low - f_up
    got, carried = joint.resistance(joint.bolts[0], 1e-6, 1.0, f_up / 0.4, f_up / 0.4)
    assert got == pytest.approx(expected, rel=1e-9)
    assert carried == pytest.approx(float(np.linalg.norm(upper)), rel=1e-9)
    # Work: what the plate spends is what friction takes along both walls.
    low, up, path, _ = joint.paths(joint.bolts[0], 0.01)
    taken = (f_low + mu_w * n_low) * path + (f_up + mu_w * n_up) * up / c
    assert got * 0.01 == pytest.approx(taken, rel=1e-9)


@pytest.mark.parametrize("first_deg", [0.0, 180.0])
def test_clean_three_bolt_slip_force_by_hand(first_deg):
    # mu_w = 0: S = f for the bolt on the axis and f sin g / sin b for the two others (sin 120 = sin 60).
    joint = plain_joint(friction_wall=0.0, first_bolt_azimuth_rad=math.radians(first_deg))
    f = 0.4 * 30000.0
    total = sum(joint.resistance(b, 1e-6, 1.0, 30000.0, 30000.0)[0] for b in joint.bolts)
    assert total == pytest.approx(f * (1.0 + 2.0 * math.sin(math.pi / 3) / math.sin(math.pi / 4)), rel=1e-9)


def test_narrow_notch_locks():
    joint = plain_joint(notch_half_angle_rad=0.1, friction_wall=0.15)
    assert math.isinf(joint.resistance(joint.bolts[1], 1e-6, 1.0, 30000.0, 30000.0)[0])


# ---- what was found on site ------------------------------------------------------------------------------------


def test_dish_without_hardening(monkeypatch):
    # (3 - 2 sqrt(3 - 2 r))/r of the slope at first yield, less the elastic r (Timoshenko), as the hardening vanishes.
    monkeypatch.setattr(findings, "HARDENING", 1e-9)
    t, w, b, f_y, e = 0.005, 0.03, 0.03, 3e8, 2.1e11
    first = t * t * w * f_y / (1.5 * b)
    at_yield = first * b * b / (16.0 * e * w * t**3 / 12.0)
    slope = findings.dish_slope(1.3 * first, t, w, b, f_y, e)
    assert slope == pytest.approx(at_yield * ((3.0 - 2.0 * math.sqrt(0.4)) / 1.3 - 1.3), rel=1e-6)
    assert findings.dish_slope(0.99 * first, t, w, b, f_y, e) == 0.0


def test_soil_springs_back_on_its_own_slope():
    soil = findings.Soil({"gap_m": 0.02, "height_m": 0.1, "slope_rad": 0.0, "friction_angle_rad": math.radians(30.0),
                          "unit_weight_npm3": 18e3, "cohesion_pa": 5e3, "azimuth_rad": 0.0}, 0.44)
    full = (9e3 * 0.01 * 3.0 + 1e3 * math.sqrt(3.0)) * 0.44
    assert soil.force(0.021, 0.0)[0] == pytest.approx(0.5 * full)
    soil.renew(0.07, 0.0)
    assert soil.force(0.07, 0.0)[:2] == (pytest.approx(full), 0.0)
    assert soil.force(0.069, 0.0)[0] == pytest.approx(0.5 * full)
    # It holds a lifting foot by tan(2 phi/3) of its push at most.
    assert soil.force(0.07, 0.01)[1] == pytest.approx(-math.tan(math.radians(20.0)) * full)
    assert soil.force(0.07, 0.2)[0] == 0.0


# ---- crush -----------------------------------------------------------------------------------------------------


def test_crush_and_dent_in_series():
    spec = {"name": "b", "crush_curve": [[0.0, 0.0], [0.1, 20000.0], [0.3, 80000.0]], "unloading_npm": 1e6}
    band = Band(spec, 0.004, 3.55e8)
    force, crush, dent = band.advance(0.2, 0.2)
    # Both laws hold at one force and the depths add up.
    assert crush + dent == pytest.approx(0.2, abs=1e-12)
    assert force == pytest.approx(20000.0 + 3e5 * (crush - 0.1), rel=1e-10)
    plastic = 3.55e8 * 0.004**2 / 4.0
    assert force == pytest.approx(15.0 * plastic * math.sqrt(0.2 / 0.004) * math.sqrt(2.0 * dent / 0.2), rel=1e-9)
    # Unloading by du lowers the force by k_u du; the dent stays; below the permanent depth there is no force.
    assert band.solve(0.199, 0.2)[0] == pytest.approx(force - 1e3, rel=1e-9)
    assert band.solve(0.199, 0.2)[2] == dent
    assert band.solve(band.permanent + dent - 1e-9, 0.2)[0] == 0.0
    assert band.permanent == pytest.approx(crush - force / 1e6, rel=1e-12)


# ---- planar runs -----------------------------------------------------------------------------------------------


def test_nothing_moves_without_a_vehicle():
    case = load(CASES[0])
    case["impact"]["speed_mps"] = 0.0
    planar = Planar(case)
    y = planar.initial()
    a = planar.rhs(0.0, y)
    start, weight = y.copy(), planar.pole.total * 9.80665
    # Unbalanced nodal force below 1e-6 of the weight.
    assert np.max(abs(planar.forces(y)[1])) < 1e-6 * weight
    run = solve_ivp(planar.rhs, (0.0, 2e-3), y, method="DOP853", rtol=1e-7, atol=1e-10)
    assert np.max(abs(run.y[:planar.n, -1] - start[:planar.n])) < 1e-9
    assert np.all(np.isfinite(a))


def simple_front(case, slope, unloading):
    case["vehicle"].update(guided=True, face_friction=0.0)
    case["vehicle"]["front"]["bands"] = [{"name": "nose", "lower_m": 0.4, "upper_m": 0.6, "setback_m": 0.0,
                                          "crush_curve": [[0.0, 0.0], [1.0, slope]], "unloading_npm": unloading}]
    case["support"]["pole"]["material"]["yield_pa"] = 1e12  # no dent


def test_base_that_never_releases():
    # Peak force V sqrt(k M), crush V sqrt(M / k).
    case = load(CASES[0])
    simple_front(case, 2e5, 4e5)
    case["vehicle"]["mass_kg"] = 100.0
    case["base"]["preload_n"] = 2e5
    case["base"]["bolt"].update(yield_pa=1e10, ultimate_pa=1e10)
    case["impact"]["speed_mps"] = 5.0
    result = Planar(case, elements=8).run(0.036)
    assert result["peak_force_n"] == pytest.approx(5.0 * math.sqrt(2e5 * 100.0), rel=5e-3)
    assert result["peak_crush_m"] == pytest.approx(5.0 * math.sqrt(100.0 / 2e5), rel=5e-3)


def test_free_rigid_pole_plastic_velocity_change():
    # (1 + e) V m_e / (M + m_e), m_e = 1 / (1/m + (z_c - h)^2 / I), and e = sqrt(k / k_u) of a front that loads along
    # k and unloads along k_u. The pole is 100 times stiffer, so that its first free
    # period (15 ms) is short against the contact (about 50 ms); what is left of the bending stays under 0.5 %.
    case = load(CASES[0])
    simple_front(case, 1e5, 1e8)
    case["vehicle"]["front"]["bands"][0].update(lower_m=1.975, upper_m=2.175)
    case["support"]["pole"]["material"]["youngs_pa"] *= 100.0
    case["base"].update(preload_n=1.0, friction_outer=0.0, friction_inner=0.0, keeper=None, notch_travel_m=1e-5)
    case["base"]["plate_radius_m"] = 0.01  # the seats lie outside: no bearing after the release
    case["impact"]["speed_mps"] = 0.5
    case["site"]["gravity_mps2"] = 1e-9
    result = Planar(case, elements=6, options={"hold_after": 0.005}).run(0.1)
    p = rigid_flight.mass_properties(case)
    lever = p["centre_m"][2] - (2.075 - case["site"]["slip_plane_height_m"])
    m_e = 1.0 / (1.0 / p["mass_kg"] + lever**2 / p["inertia_kgm2"][1][1])
    expected = (1.0 + math.sqrt(1e5 / 1e8)) * 0.5 * m_e / (1100.0 + m_e)
    assert result["velocity_change_at_contact_end_mps"] == pytest.approx(expected, rel=0.005)


@pytest.mark.slow
@pytest.mark.parametrize("name", CASES)
def test_energy_balance(results, name):
    assert abs(results[name]["energy_j"]["residual_fraction"]) < 1e-5
    assert results[name]["ending"] == "released"


@pytest.mark.slow
def test_mesh_convergence(results):
    coarse = Planar(load(CASES[1]), elements=30).run()
    lines, code = compare.judge(coarse, results[CASES[1]], 0.001)
    assert code == 0, "\n".join(lines)


# ---- flight, signals, comparison -------------------------------------------------------------------------------


def test_symmetric_top_precesses():
    # Free symmetric top: the axis turns about the angular momentum at |L| / I_1.
    i1, i3, tilt, length = 4.0, 1.0, 0.3, 10.0
    axis0 = np.array([math.sin(tilt), 0.0, math.cos(tilt)])
    initial = {"position_m": [0, 0, 1], "velocity_mps": [1, 2, 3],
               "rotation": [math.cos(tilt / 2), 0.0, math.sin(tilt / 2), 0.0]}
    along = length * math.cos(tilt) / i3
    across = np.array([0.0, 0.0, length]) - length * math.cos(tilt) * axis0
    initial["angular_velocity_radps"] = (along * axis0 + across / i1).tolist()
    out = rigid_flight.fly(np.diag([i1, i1, i3]), initial, 1.0, 9.80665)
    axis = rigid_flight.matrix(out["rotation"]) @ np.array([0.0, 0.0, 1.0])
    rate = length / i1
    assert axis == pytest.approx([math.sin(tilt) * math.cos(rate), math.sin(tilt) * math.sin(rate), math.cos(tilt)],
                                 abs=1e-9)
    assert out["position_m"] == pytest.approx([1.0, 2.0, 1.0 + 3.0 - 0.5 * 9.80665], abs=1e-12)


def test_uniform_rod_inertia():
    case = load(CASES[0])
    case["support"] = uniform()
    p = rigid_flight.mass_properties(case, ring=False)
    assert p["inertia_kgm2"][1][1] == pytest.approx(p["mass_kg"] * 100.0 / 12.0, rel=1e-10)


@pytest.mark.parametrize("cls, a0, b1, b2", [(60, 0.001452367, 1.889343224, -0.895152694),
                                             (180, 0.011796271, 1.670117463, -0.717302548),
                                             (600, 0.097184625, 0.945574009, -0.334312510)])
def test_channel_filter(cls, a0, b1, b2):
    b, a = signals.cfc_coefficients(cls, 1e-4)
    assert b == pytest.approx([a0, 2 * a0, a0], abs=2e-9)
    assert [-a[1], -a[2]] == pytest.approx([b1, b2], abs=2e-9)


def test_flail_closed_forms():
    g = signals.G
    assert signals.flail(lambda t: 5 * g, 0.6) == pytest.approx((0.15644, 7.6707), abs=5e-5)
    assert signals.flail(lambda t: 10 * g, 0.3) == pytest.approx((0.07822, 7.6707), abs=5e-5)
    assert signals.flail(lambda t: 80.0 if t < 0.05 else 0.0, 0.6, breaks=(0.05,)) == pytest.approx((0.175, 4.0), abs=1e-9)
    assert signals.flail(signals.half_sine(10, 0.1), 0.6, breaks=(0.1,)) == pytest.approx((0.14611, 6.2431), abs=5e-5)
    assert signals.flail(signals.half_sine(20, 0.1), 0.6, breaks=(0.1,)) == pytest.approx((0.09805, 12.4745), abs=5e-5)
    assert signals.flail(lambda t: 8 * g, 0.6)[1] * 3.6 == pytest.approx(34.930, abs=5e-4)
    time, speed = signals.thiv_yaw(3.0, 0.5)
    assert (time, speed * 3.6) == pytest.approx((0.429098, 6.951), abs=5e-4)


def test_sampled_flail_and_asi():
    step = 1e-4
    middle = (np.arange(3000) + 0.5) * step
    pulse = np.zeros((3000, 3))
    pulse[:, 0] = [-signals.half_sine(20, 0.1)(t) for t in middle]
    time, oiv, _ = signals.flail_sampled(pulse, step)
    assert (time, -oiv) == pytest.approx((0.09805, 12.4745), abs=5e-5)
    shifted = np.vstack([np.zeros((500, 3)), pulse])
    assert signals.asi(shifted, step) == pytest.approx(1.5005, abs=1e-4)
    assert signals.asi(np.tile([6 * signals.G, 4.5 * signals.G, 5 * signals.G], (1000, 1)), step) == pytest.approx(0.866025, abs=1e-6)


def test_compare_tells_differences():
    base = {key: 1.0 for key in compare.JUDGED} | {"bolts": [{"release_time_s": 1.0}]}
    assert compare.judge({"run": base}, base)[1] == 0
    assert compare.judge(base | {"peak_force_n": 1.02}, base)[1] == 1
    assert compare.judge({k: v for k, v in base.items() if k != "peak_crush_m"}, base)[1] == 2


def test_compare_with_a_band_of_its_own():
    base = {key: 1.0 for key in compare.JUDGED} | {"bolts": [{"release_time_s": 1.0}]}
    energy = {"energy": {"initial_kinetic_j": 1e4, "fold_j": 103.0, "rust_j": 1.0}}
    found = base | {"found_j": {"fold": 100.0, "rust": 5.0}}
    assert compare.judge(base | energy, found)[1] == 1
    assert compare.judge(base | energy, found, bands={"fold_j": 0.04})[1] == 0


def test_mujoco_agrees_with_its_fine_step():
    speed = pytest.importorskip("speed")
    pytest.importorskip("mujoco")
    out = speed.mujoco_times(load(CASES[0]))
    assert out["speed_change_mps"] == pytest.approx(out["speed_change_fine_mps"], rel=0.01)


# ---- the program's results -------------------------------------------------------------------------------------

FOLDER = os.environ.get("GIVEWAY_EXPORTS")
PAIRS = sorted(pathlib.Path(FOLDER).glob("*.scenario.json")) if FOLDER else []


def is_planar(case):
    try:
        Planar._check(case)
    except ValueError:
        return False
    return True


@pytest.fixture(scope="session", autouse=True)
def planar_runs():
    """The referee's runs beside the program's, in all cores from the start on; by name, longest event first."""
    jobs, found = {}, collect.found_cases()
    for path in PAIRS:
        name, case = path.name.split(".")[0], caseio.load(path)
        summary = path.with_name(f"{name}.summary.json")
        if is_planar(case) and summary.exists() and (name not in MISSES or os.environ.get("GIVEWAY_SLOW")):
            more = found.get(name, {})
            jobs[name] = case, caseio.load(summary), more.get("options"), more.get("until_s")
    if not jobs:
        yield {}
        return
    with concurrent.futures.ProcessPoolExecutor() as pool:
        order = sorted(jobs, key=lambda name: -jobs[name][1]["times"]["contact_end_s"])
        yield {name: pool.submit(run_beside, *jobs[name]) for name in order}


def beside(path, what):
    """The neighbour `<name>.<what>.json`, or skip."""
    other = path.with_name(path.name.replace(".scenario.json", f".{what}.json"))
    if not other.exists():
        pytest.skip(f"no {other.name}")
    return caseio.load(other)


# Beyond their bands, which are not widened; one that comes inside fails until it is struck off (README.md, "The program of
# model 4 beside it"). Run where GIVEWAY_SLOW is set: they take half of the time.
MISSES = {
    "bolt180_30": "velocity change at the end of contact -1.1 % with the program's 14 elastic modes, -0.2 % with 40",
    "conduit_held": "at the edge of letting go: the program's base releases late, the referee's holds; kink -13 %",
    "four_bolts_100": "kink at 100 km/h: turn -9 %, energy -6 %",
    "rust_held": "a base that pries: release -2.3 % with 14 elastic modes, 0.0 % with 40",
    "thin_fold": "a foot that folds and a shaft that kinks by 0.6 rad: energy +10 %",
    "thin_fold_linear": "the same with the referee's bending linear: energy +6 %",
}


@pytest.mark.exported
@pytest.mark.skipif(not FOLDER, reason="GIVEWAY_EXPORTS is not set")
class TestProgram:
    def test_folder_has_exports(self):
        assert PAIRS, f"no *.scenario.json in {FOLDER}"

    @pytest.mark.parametrize("path", PAIRS, ids=lambda p: p.name.split(".")[0])
    def test_planar(self, path, planar_runs, request):
        name = path.name.split(".")[0]
        if name not in planar_runs:
            pytest.skip("not a planar case, or no summary")
        if name in MISSES:
            request.applymarker(pytest.mark.xfail(strict=True, reason=MISSES[name]))
        bands = collect.found_cases().get(name, {}).get("bands")
        lines, code = compare.judge(beside(path, "summary"), planar_runs[name].result(), bands=bands)
        print("\n".join(lines))
        assert code == 0, "\n".join(lines)

    @pytest.mark.parametrize("path", PAIRS, ids=lambda p: p.name.split(".")[0])
    def test_mass_and_frequencies(self, path):
        case = caseio.load(path)
        theirs = compare.find(beside(path, "summary"), "support")
        if theirs is compare.ABSENT:
            pytest.skip("summary has no support block")
        ours = rigid_flight.mass_properties(case)
        assert theirs["mass_kg"] == pytest.approx(ours["mass_kg"], rel=1e-3)
        assert theirs["centre_m"] == pytest.approx(ours["centre_m"], abs=2e-3)
        scale = max(map(max, ours["inertia_kgm2"]))
        assert np.array(theirs["inertia_kgm2"]) == pytest.approx(np.array(ours["inertia_kgm2"]), rel=2e-3, abs=2e-3 * scale)
        if not case["support"]["arms"]:
            listed = np.array(theirs["free_frequencies_hz"])
            for f in modes.report(case)["free_frequencies_hz"][:3]:
                if f <= listed.max():
                    assert np.min(abs(listed / f - 1.0)) < 5e-3

    @pytest.mark.parametrize("path", PAIRS, ids=lambda p: p.name.split(".")[0])
    def test_flight(self, path):
        case, flight = caseio.load(path), beside(path, "flight")
        inertia = flight.get("inertia_kgm2") or rigid_flight.mass_properties(case)["inertia_kgm2"]
        out = rigid_flight.fly(inertia, flight["initial"], flight["duration_s"],
                               flight.get("gravity_mps2", case["site"]["gravity_mps2"]))
        assert max(rigid_flight.difference(out, flight["final"]).values()) < 1e-3

    @pytest.mark.parametrize("path", PAIRS, ids=lambda p: p.name.split(".")[0])
    def test_record(self, path):
        """`<name>.record.json`: interval_s, acceleration_mps2 (n x 3) and any of input/cfc60/cfc180, asi, oiv_*."""
        record = beside(path, "record")
        step, a = record["interval_s"], np.array(record["acceleration_mps2"])
        for cls in (60, 180):
            if f"cfc{cls}" in record:
                edge = int(0.02 / step)
                ours = signals.cfc(np.array(record["input"]), step, cls)
                gap = np.array(record[f"cfc{cls}"]) - ours
                assert np.max(abs(gap[edge:-edge])) < 1e-6 * np.max(abs(ours))
        if "asi" in record:
            assert record["asi"] == pytest.approx(signals.asi(a, step), rel=1e-3)
        if "oiv_x_mps" in record:
            time, x, _ = signals.flail_sampled(a, step)
            assert abs(record["oiv_x_mps"]) == pytest.approx(abs(x), rel=1e-3)
            if record.get("oiv_time_s") is not None:
                assert record["oiv_time_s"] == pytest.approx(time, rel=1e-3)
