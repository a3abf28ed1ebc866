// Reads a replay: delta-coded whole numbers become times (s) and SI values; sampling is linear between them.

/// One track after decoding.
/// name, kind, columns; times: Float64Array (s); values: one Float64Array per column; from, until (s, null = to the end).
function track(raw, tick) {
  const n = raw.times.length;
  const times = new Float64Array(n);
  let sum = 0;
  for (let i = 0; i < n; i++) times[i] = tick * (sum += raw.times[i]);
  const values = raw.values.map((column, c) => {
    const out = new Float64Array(column.length);
    let total = 0;
    for (let i = 0; i < column.length; i++) out[i] = raw.scale[c] * (total += column[i]);
    return out;
  });
  return {
    name: raw.name, kind: raw.kind, columns: raw.columns, times, values,
    from: raw.from_s ?? 0, until: raw.until_s ?? null,
  };
}

/// Decodes a whole replay; `tracks` becomes a Map by name.
export function decode(raw) {
  if (raw.format !== 1) throw new Error(`replay format ${raw.format} is not known to this player`);
  const tracks = new Map();
  for (const t of raw.tracks) tracks.set(t.name, track(t, raw.tick_s));
  return { ...raw, tracks };
}

/// Position in a track: index of the sample before t and the fraction to the next; holds at both ends.
function locate(times, t) {
  const last = times.length - 1;
  if (last < 0) return null;
  if (t <= times[0]) return [0, 0];
  if (t >= times[last]) return [last, 0];
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= t) low = middle;
    else high = middle;
  }
  return [low, (t - times[low]) / (times[high] - times[low])];
}

/// All columns of a track at time t, or null where it has no samples.
export function sample(tr, t, out = []) {
  const at = tr && locate(tr.times, t);
  if (!at) return null;
  const [i, f] = at;
  for (let c = 0; c < tr.values.length; c++) {
    const v = tr.values[c];
    out[c] = f === 0 ? v[i] : v[i] + f * (v[i + 1] - v[i]);
  }
  out.length = tr.values.length;
  return out;
}

/// One column of a track by its name at time t; `otherwise` where there is none.
export function column(tr, name, t, otherwise = 0) {
  if (!tr) return otherwise;
  const c = tr.columns.indexOf(name);
  const at = locate(tr.times, t);
  if (c < 0 || !at) return otherwise;
  const v = tr.values[c];
  return at[1] === 0 ? v[at[0]] : v[at[0]] + at[1] * (v[at[0] + 1] - v[at[0]]);
}

/// Pose at time t: { p: [x, y, z], q: [w, x, y, z] of length 1 }, or null.
export function pose(tr, t) {
  const v = sample(tr, t);
  if (!v) return null;
  const size = Math.hypot(v[3], v[4], v[5], v[6]) || 1;
  return { p: v.slice(0, 3), q: v.slice(3, 7).map((c) => c / size) };
}

/// Points of a line track at time t: [[x, y, z], ...], or null.
export function line(tr, t) {
  const v = sample(tr, t);
  if (!v) return null;
  const points = [];
  for (let i = 0; i + 2 < v.length; i += 3) points.push([v[i], v[i + 1], v[i + 2]]);
  return points;
}

/// Whether a track's body is still there at time t.
export const present = (tr, t) => !!tr && t >= tr.from - 1e-9 && (tr.until === null || t < tr.until);

/// Rotates v by the quaternion q = [w, x, y, z]: v + 2 u x (u x v + w v).
export function turn(q, v) {
  const [w, x, y, z] = q;
  const cx = y * v[2] - z * v[1] + w * v[0];
  const cy = z * v[0] - x * v[2] + w * v[1];
  const cz = x * v[1] - y * v[0] + w * v[2];
  return [v[0] + 2 * (y * cz - z * cy), v[1] + 2 * (z * cx - x * cz), v[2] + 2 * (x * cy - y * cx)];
}

/// Site place of a point given in a body's axes.
export function placed(body, v) {
  const r = turn(body.q, v);
  return [body.p[0] + r[0], body.p[1] + r[1], body.p[2] + r[2]];
}

/// Body axes of a site place.
export function local(body, p) {
  const [w, x, y, z] = body.q;
  return turn([w, -x, -y, -z], [p[0] - body.p[0], p[1] - body.p[1], p[2] - body.p[2]]);
}
