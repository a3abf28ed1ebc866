// What a bolt does now, from its track, the plate's pose and how it ends.
import { column, placed, pose, present, sample } from "./decode.js";

/// A seat has moved when it is this far from where it was, m.
const MOVED_M = 0.001;
/// A seat moves when it is quicker than this, m/s.
const MOVES_MPS = 0.03;
/// A push of the vehicle that counts, N.
const PUSH_N = 20e3;
/// Time over which the speed of a seat is taken, s.
const SPAN_S = 0.002;

/// Reads the bolts of a replay at any time.
export class Bolts {
  constructor(replay) {
    this.replay = replay;
    this.plate = replay.tracks.get("plate");
    this.plateStart = pose(this.plate, 0);
    this.list = [];
    const n = replay.scene.base.bolt_count;
    for (let i = 1; i <= n; i++) {
      const track = replay.tracks.get(`bolt${i}`);
      if (!track) continue;
      const start = sample(track, 0);
      const fate = (replay.bolts ?? []).find((b) => b.number === i) ?? null;
      this.list.push({
        number: i, track, fate,
        seat: start.slice(0, 3),
        preload: Math.max(1, column(track, "tension_n", 0)),
        until: track.until,
      });
    }
  }

  /// Seats of a bolt in both plates and how far apart they are, m.
  slip(bolt, t) {
    const now = pose(this.plate, t);
    const s = this.plateStart;
    // The plate starts unturned but for what the dead load gives; its axes carry the seat.
    const upper = placed(now, [bolt.seat[0] - s.p[0], bolt.seat[1] - s.p[1], bolt.seat[2] - s.p[2]]);
    return { upper, distance: Math.hypot(upper[0] - bolt.seat[0], upper[1] - bolt.seat[1]) };
  }

  /// State of one bolt: { state, at, tension, force, slip, upper, known }.
  at(bolt, t) {
    const v = sample(bolt.track, t);
    const { upper, distance } = this.slip(bolt, t);
    const out = {
      number: bolt.number, bolt, at: v.slice(0, 3), upper, slip: distance,
      tension: column(bolt.track, "tension_n", t), force: column(bolt.track, "slip_force_n", t), state: "clamped", known: true,
    };
    if (!present(bolt.track, t)) {
      out.state = "gone";
      out.tension = out.force = 0;
      return out;
    }
    // A bolt that stays is followed to the end of the engagement only: its forces are unknown after it.
    out.known = t <= bolt.track.times[bolt.track.times.length - 1] + 1e-6 || t <= this.replay.engagement_end_s;
    const before = this.slip(bolt, Math.max(0, t - SPAN_S)).distance;
    const quick = Math.abs(distance - before) / SPAN_S;
    const push = column(contact(this.replay), "contact_force_n", t);
    if (distance > MOVED_M && quick > MOVES_MPS) out.state = "sliding";
    // More than its own clamp across the slip plane and yet at rest: something else than friction holds it.
    else if (out.force > bolt.preload && distance <= 2 * MOVED_M) out.state = "held";
    else if (distance > MOVED_M && push > PUSH_N) out.state = "held";
    else if (bolt.until === null && t >= this.replay.engagement_end_s) out.state = "held";
    if (!out.known) out.tension = out.force = 0;
    return out;
  }

  all(t) {
    return this.list.map((b) => this.at(b, t));
  }
}

/// Track of the contact force as a curve, whatever its place among the curves.
export function contact(replay) {
  return curve(replay, "contact_force_n");
}

/// A curve by its column's name.
export function curve(replay, name) {
  const direct = replay.tracks.get(name);
  if (direct) return direct;
  for (const t of replay.tracks.values()) if (t.kind === "curve" && t.columns.includes(name)) return t;
  return null;
}

/// The last event that has happened by time t, or null.
export function lastEvent(replay, t) {
  let found = null;
  for (const e of replay.events ?? []) if (e.time_s <= t + 1e-9 && (!found || e.time_s >= found.time_s)) found = e;
  return found;
}
