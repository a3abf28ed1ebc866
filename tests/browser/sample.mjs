// Makes replays by hand-written kinematics, for tests of the player. They are no results of any computation: a car at
// 30 km/h, a pole of 12 m, a base of three bolts that lets go (or is held by grout).

const V0 = 30 / 3.6;
const TICK = 1e-5;

function track(name, kind, columns, scale, rows, until = null) {
  const times = rows.map((r) => Math.round(r[0] / TICK));
  const delta = (list) => list.map((v, i) => (i ? v - list[i - 1] : v));
  const values = columns.map((_, c) => delta(rows.map((r) => Math.round(r[c + 1] / scale[c]))));
  return { name, kind, columns, scale, from_s: 0, until_s: until, times: delta(times), values };
}

/// One replay. held: the base does not let go; found: what was found at the base.
export function replay({ title, held = false, found = {}, end = 1.6, arm = true } = {}) {
  const release = [0.041, 0.037, 0.037];
  const azimuths = [90, 210, 330].map((d) => (d * Math.PI) / 180);
  const slip = 0.075;
  const stop = held ? 0.09 : 0.041;
  const crush = (t) => (held ? 0.325 : 0.21) * Math.sin((Math.min(t, stop) / stop) * (Math.PI / 2));
  const lost = (t) => (held ? 9.2 : 2.3) * Math.min(1, t / stop) ** 2;
  const force = (t) => (t < stop ? (held ? 182e3 : 112e3) * Math.sin((t / stop) * Math.PI * 0.62) : held && t < 0.1 ? 4e4 : 0);
  const times = [];
  for (let t = 0; t < 0.12; t += 0.0005) times.push(t);
  for (let t = 0.12; t <= end + 1e-9; t += 0.01) times.push(t);
  // Car: x by summing its speed.
  let x = -1.978;
  const car = times.map((t, i) => {
    if (i) x += (V0 - lost(t)) * (t - times[i - 1]);
    const pitch = 0.004 * Math.sin(20 * Math.min(t, 0.3));
    return [t, x, 0, 0.56, Math.cos(pitch / 2), 0, Math.sin(pitch / 2), 0];
  });
  // Foot of the pole.
  const foot = (t) => {
    const s = Math.max(0, t - 0.024);
    return held ? [Math.min(0.014, 40 * s * s * s * 10), 0, slip] : [Math.min(8.2 * s, 5.6 * s + 0.002) * (s > 0 ? 1 : 0), -0.05 * s, slip + 0.55 * s - Math.min(0.35, 0.3 * s * s)];
  };
  const lean = (t) => (held ? -0.03 * Math.sin(30 * Math.min(t, 0.15)) : -Math.min(1.55, 1.15 * Math.max(0, t - 0.03)));
  const bend = (t) => 0.1 * Math.sin(40 * t) * Math.exp(-3 * t);
  const axis = (t) => {
    const f = foot(t);
    const a = lean(t);
    const drop = held ? 0 : Math.min(4.905 * Math.max(0, t - 0.05) ** 2, 3);
    return Array.from({ length: 11 }, (_, i) => {
      const s = (12 * i) / 10;
      const w = bend(t) * Math.sin((Math.PI * i) / 10);
      return [f[0] + s * Math.sin(a) + w * Math.cos(a), f[1], Math.max(0.075, f[2] + s * Math.cos(a) - (drop * i) / 10)];
    }).flat();
  };
  const plate = times.map((t) => {
    const f = foot(t);
    const a = lean(t);
    return [t, ...f, Math.cos(a / 2), 0, Math.sin(a / 2), 0];
  });
  const seats = azimuths.map((a) => [0.19 * Math.cos(a), 0.19 * Math.sin(a)]);
  const bolts = seats.map(([bx, by], i) => {
    const until = held ? null : release[i];
    const rows = times.filter((t) => until === null || t <= until).map((t) => {
      const f = foot(t);
      // Bolt 3 goes with the plate, bolt 2 is left behind, bolt 1 is squeezed out.
      const go = [[0.5, 0.45], [0, 0], [1, 0]][i];
      const k = Math.min(1, t / 0.028);
      const grip = held ? [64e3, 32e3, 73e3][i] : [28e3, 17e3, 27e3][i];
      return [t, bx + go[0] * f[0], by + go[1] * f[0], slip, 31e3 * (1 + (i === 1 ? 2 : -0.1) * k * (t < 0.04 ? 1 : 0.5)), grip * (held ? Math.min(1, t / 0.06) : k), 0];
    });
    return track(`bolt${i + 1}`, "state", ["x_m", "y_m", "z_m", "tension_n", "slip_force_n", "opening_m"], [1e-5, 1e-5, 1e-5, 10, 10, 1e-6], rows, until);
  });
  const curve = (name, f, scale) => track(name, "curve", [name], [scale], times.map((t) => [t, f(t)]));
  const band = (k) => (t) => Math.max(0, crush(t) - k);
  const contactRows = times.filter((t) => t <= 0.12).map((t) => [t, -force(t), 0, 0, foot(t)[0] - 0.1, 0, 0.52]);
  const line = ["x", "y", "z"];
  const columns = (n) => Array.from({ length: n }, (_, i) => line.map((c) => `${c}${i}`)).flat();
  const armRow = (t) => {
    const a = axis(t);
    const [bx, by, bz] = a.slice(-3);
    return [...Array.from({ length: 5 }, (_, i) => [bx, by + (2.5 * i) / 4, bz + 0.3 * Math.sin((Math.PI * i) / 8)]).flat(), bx, by + 2.8, bz + 0.3];
  };
  return {
    format: 1, model_version: 3, title, caution: "Made by hand for a test: no result of a computation.", input_blake3: "0",
    end_s: end, engagement_end_s: held ? 0.13 : 0.075, slow_until_s: 0.12, tick_s: TICK,
    headline: held ? { outcome: "fail", sentence: "The blow fails: velocity change 9.2 m/s, limit 4.9 m/s." } : { outcome: "pass", sentence: "The blow passes the 9 checks that were evaluated." },
    numbers: [{ name: "velocity change", value: held ? 9.2 : 2.3, unit: "m/s" }],
    scene: {
      site: {
        slip_plane_height_m: slip, slope_rad: -0.2, slope_from_m: -3,
        strips: [
          { name: "lane", used_by: "lane", right_m: 1.2, left_m: 4.7 }, { name: "far lane", used_by: "opposite-lane", right_m: 4.7, left_m: 8.2 },
          { name: "footway", used_by: "footway", right_m: -2.6, left_m: -0.9 },
        ],
      },
      vehicle: {
        name: "small-car-1100", mass_kg: 1100, guided: false, length_m: 4.29, width_m: 1.65, cg_height_m: 0.56, cg_to_front_m: 1.88,
        cg_to_front_axle_m: 0.99, wheelbase_m: 2.49, track_m: 1.42, wheel_radius_m: 0.3, underside_m: 0.15, roof_width_m: 1.15,
        side_view: [[0.195, 0.2], [0.075, 0.25], [0.075, 0.45], [0, 0.45], [0, 0.6], [0.075, 0.6], [0.075, 0.68], [0, 0.68], [0.15, 0.76], [1.15, 0.97], [2, 1.44], [3.3, 1.42], [4.29, 1.02], [4.29, 0.51], [4.17, 0.2]],
        windows: { side: [[1.2, 1], [2, 1.44], [3.3, 1.42], [4.29, 1.02]], waist_m: 0.99, roof: [2, 3.3], glass: [1.2, 4.29] },
        face: "front",
        bands: [
          { name: "lower", lower_m: 0.25, upper_m: 0.45, setback_m: 0.075 }, { name: "bumper", lower_m: 0.45, upper_m: 0.6, setback_m: 0 },
          { name: "bonnet-edge", lower_m: 0.6, upper_m: 0.76, setback_m: 0.075 },
        ],
      },
      pole: { sides: 0, radii_m: Array.from({ length: 11 }, (_, i) => 0.1 - 0.005 * i) },
      arms: arm ? [{ radii_m: [0.045, 0.041, 0.037, 0.034, 0.03, 0.03], luminaire: { length_m: 0.6, width_m: 0.25, height_m: 0.12 } }] : [],
      base: {
        fixed: false, bolt_count: 3, bolt_circle_m: 0.38, plate_radius_m: 0.222, upper_plate_m: 0.028, lower_plate_m: 0.028, notch_half_angle_rad: 0.785,
        notch_travel_m: 0.032, notch_width_m: 0.029,
        bolt: { diameter_m: 0.027, head_height_m: 0.017, across_flats_m: 0.041, nut_height_m: 0.0238, length_m: 0.13 },
        plate_washer: { diameter_m: 0.06075, thickness_m: 0.008 }, round_washer: { diameter_m: 0.04995, thickness_m: 0.004, missing: false },
        keeper: { thickness_m: 0.0005, edge_distance_m: 0.0405 }, azimuths_rad: azimuths, foundation: null,
      },
      found: { grout: null, stubs: [], conduit: null, lumps: [], soil: null, rust: "none", ...found },
    },
    tracks: [
      track("vehicle", "pose", ["x_m", "y_m", "z_m", "qw", "qx", "qy", "qz"], [1e-4, 1e-4, 1e-4, 1e-5, 1e-5, 1e-5, 1e-5], car),
      track("plate", "pose", ["x_m", "y_m", "z_m", "qw", "qx", "qy", "qz"], [1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5], plate),
      track("pole_axis", "line", columns(11), Array(33).fill(1e-4), times.map((t) => [t, ...axis(t)])),
      ...(arm ? [track("arm1", "line", columns(6), Array(18).fill(1e-4), times.map((t) => [t, ...armRow(t)]))] : []),
      ...bolts,
      track("crush", "state", ["lower", "bumper", "bonnet-edge"], [1e-4, 1e-4, 1e-4], times.map((t) => [t, band(0.075)(t), crush(t), band(0.075)(t)])),
      track("contact_force", "force", ["fx_n", "fy_n", "fz_n", "px_m", "py_m", "pz_m"], [10, 10, 10, 1e-4, 1e-4, 1e-4], contactRows, 0.12),
      curve("velocity_change_mps", lost, 1e-4), curve("contact_force_n", force, 10), curve("crush_m", crush, 1e-5), curve("foot_moment_nm", (t) => 0.3 * force(t) * (t < 0.05 ? 1 : 0.2), 10),
    ],
    events: [
      { time_s: 0, label: "first touch", bolt: null },
      ...(held ? [{ time_s: 0.09, label: "the car has stopped", bolt: null }] : [
        { time_s: 0.037, label: "bolt 2 is left behind by the upper plate", bolt: 2 }, { time_s: 0.037, label: "bolt 3 leaves the lower notch", bolt: 3 },
        { time_s: 0.041, label: "bolt 1 is squeezed out", bolt: 1 }, { time_s: 0.9, label: "the pole's tip meets the ground", bolt: null },
      ]),
    ],
    bolts: [1, 2, 3].map((n) => ({ number: n, fate: held ? "held" : ["squeezed-out", "left-upper-notch", "left-lower-notch"][n - 1], release_time_s: held ? null : release[n - 1], words: held ? "is still clamped" : "is out" })),
    sentences: held ? ["Bolts 1 and 3 must leave the lower notch and are held by 28 mm of grout: 64 and 73 kN."] : [],
  };
}

export const GROUT = { grout: { gap_m: -0.028, strength_pa: 25e6, cover_m: 0.1, bolts: [1, 2, 3] } };
export const correct = () => replay({ title: "Base as it should be" });
export const grouted = () => replay({ title: "28 mm of grout at every bolt head", held: true, found: GROUT });

/// A run whose pole is not followed after 75 ms.
export function unfollowed() {
  const r = replay({ title: "Pole not followed" });
  for (const t of r.tracks) if (/^(plate|pole_axis|arm)/.test(t.name)) t.until_s = 0.075;
  return r;
}
