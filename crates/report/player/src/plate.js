// Outline of a slip plate with its notches, as in the printed figures. Lengths in m, about the plate's centre.

/// Half of the angle that a cut corner spans, rad.
const CUT = 0.33;

/// Outline: list of [x, y], anticlockwise. Each notch opens outward from the seat of its bolt with half-angle beta.
export function outline(base, notched = true, grow = 0) {
  const radius = base.plate_radius_m + grow;
  const seat = 0.5 * base.bolt_circle_m;
  const hole = 0.5 * base.notch_width_m;
  const beta = base.notch_half_angle_rad;
  const edge = radius * Math.cos(CUT);
  const corner = radius * Math.sin(CUT);
  const out = [];
  for (const a of base.azimuths_rad) {
    const c = Math.cos(a);
    const s = Math.sin(a);
    const push = (n, t) => out.push([n * c - t * s, n * s + t * c]);
    push(edge, -corner);
    if (notched && edge > seat) {
      const cb = Math.cos(beta);
      const sb = Math.sin(beta);
      const n0 = seat - hole * sb;
      const t0 = hole * cb;
      const mouth = Math.min(t0 + ((edge - n0) * sb) / Math.max(cb, 0.05), 0.95 * corner);
      push(edge, -mouth);
      // The floor of the notch: an arc about the seat from one wall round to the other.
      const from = -(Math.PI / 2 + beta);
      const steps = 10;
      for (let i = 0; i <= steps; i++) {
        const angle = from + ((2 * Math.PI - 2 * (Math.PI / 2 + beta)) * -i) / steps;
        push(seat + hole * Math.cos(angle), hole * Math.sin(angle));
      }
      push(edge, mouth);
    }
    push(edge, corner);
  }
  return out;
}

/// Places of the seats about the plate's centre.
export function seats(base) {
  const r = 0.5 * base.bolt_circle_m;
  return base.azimuths_rad.map((a) => [r * Math.cos(a), r * Math.sin(a)]);
}

/// Heights about the base that several drawings need, m above the ground.
export function levels(scene) {
  const { base, site } = scene;
  const slip = site.slip_plane_height_m;
  // Washers and keeper hold the plates apart; the computation has them at one height.
  const apart = (base.round_washer?.missing ? 0 : base.round_washer?.thickness_m ?? 0) + (base.keeper?.thickness_m ?? 0);
  const underLower = slip - base.lower_plate_m;
  const headTop = underLower - (base.plate_washer?.thickness_m ?? 0);
  return { slip, apart, underLower, headTop, headUnder: headTop - base.bolt.head_height_m };
}
