// A bent tube through the points of its axis: pole and arms.
import { BufferAttribute, BufferGeometry, Mesh } from "three";

export class Tube {
  /// radii: one for each point, m; sides: 0 = round; count: points along the axis.
  constructor(radii, sides, material) {
    this.sides = sides > 2 ? sides : 20;
    // Radii of polygons are half of the width across the flats.
    const grow = sides > 2 ? 1 / Math.cos(Math.PI / sides) : 1;
    this.radii = radii.map((r) => r * grow);
    const n = this.radii.length;
    const m = this.sides + 1;
    this.position = new Float32Array(3 * n * m);
    this.normal = new Float32Array(3 * n * m);
    const index = [];
    for (let i = 0; i + 1 < n; i++) {
      for (let k = 0; k < this.sides; k++) {
        const a = i * m + k;
        index.push(a, a + 1, a + m, a + 1, a + m + 1, a + m);
      }
    }
    const g = new BufferGeometry();
    g.setAttribute("position", new BufferAttribute(this.position, 3));
    g.setAttribute("normal", new BufferAttribute(this.normal, 3));
    g.setIndex(index);
    this.mesh = new Mesh(g, material);
    this.mesh.castShadow = true;
    this.mesh.receiveShadow = true;
    this.mesh.frustumCulled = false;
  }

  /// Puts the tube along points [[x, y, z], ...]. `turned`: direction of its first edge.
  follow(points, turned = [1, 0, 0]) {
    const n = Math.min(points.length, this.radii.length);
    let u = turned;
    for (let i = 0; i < n; i++) {
      const a = points[Math.max(0, i - 1)];
      const b = points[Math.min(n - 1, i + 1)];
      const d = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
      // Carry the side direction along without twist.
      let side = away(u, d);
      if (!side) side = away([0, 0, 1], d) ?? away([1, 0, 0], d);
      u = side;
      const w = cross(d, u);
      for (let k = 0; k <= this.sides; k++) {
        const angle = (2 * Math.PI * (k + 0.5)) / this.sides;
        const c = Math.cos(angle);
        const s = Math.sin(angle);
        const o = 3 * (i * (this.sides + 1) + k);
        for (let j = 0; j < 3; j++) {
          const v = c * u[j] + s * w[j];
          this.normal[o + j] = v;
          this.position[o + j] = points[i][j] + this.radii[i] * v;
        }
      }
    }
    const g = this.mesh.geometry;
    g.attributes.position.needsUpdate = true;
    g.attributes.normal.needsUpdate = true;
  }
}

function unit(v) {
  const l = Math.hypot(...v) || 1;
  return v.map((c) => c / l);
}
function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
function away(u, d) {
  const k = u[0] * d[0] + u[1] * d[1] + u[2] * d[2];
  const v = [u[0] - k * d[0], u[1] - k * d[1], u[2] - k * d[2]];
  return Math.hypot(...v) < 1e-3 ? null : unit(v);
}
