// Small makers of meshes that the scene is built from.
import {
  BufferAttribute, BufferGeometry, CanvasTexture, CylinderGeometry, DoubleSide, EdgesGeometry, ExtrudeGeometry, Line,
  LineBasicMaterial, LineSegments, Mesh, MeshLambertMaterial, RepeatWrapping, Shape,
} from "three";
import { INK } from "../palette.js";

/// Matt material in one colour.
export function matt(colour, more = {}) {
  return new MeshLambertMaterial({ color: colour, ...more });
}

/// See-through material.
export function glaze(colour, opacity, more = {}) {
  return new MeshLambertMaterial({ color: colour, transparent: true, opacity, depthWrite: false, ...more });
}

/// Lines in one colour.
export function ink(colour = INK, opacity = 1) {
  return new LineBasicMaterial({ color: colour, transparent: opacity < 1, opacity });
}

/// Upright cylinder with its foot at z = 0.
export function cylinder(radius, height, sides = 24, top = radius) {
  const g = new CylinderGeometry(top, radius, height, sides);
  g.rotateX(Math.PI / 2);
  g.translate(0, 0, height / 2);
  return g;
}

/// Upright prism over a closed outline [[x, y], ...] with its foot at z = 0; holes likewise.
export function prism(points, height, holes = []) {
  const shape = new Shape();
  points.forEach(([x, y], i) => (i ? shape.lineTo(x, y) : shape.moveTo(x, y)));
  shape.closePath();
  for (const h of holes) {
    const path = new Shape();
    h.forEach(([x, y], i) => (i ? path.lineTo(x, y) : path.moveTo(x, y)));
    path.closePath();
    shape.holes.push(path);
  }
  return new ExtrudeGeometry(shape, { depth: height, bevelEnabled: false, curveSegments: 1 });
}

/// Circle as points.
export function circle(r, n = 48, x = 0, y = 0) {
  return Array.from({ length: n }, (_, i) => {
    const a = (2 * Math.PI * i) / n;
    return [x + r * Math.cos(a), y + r * Math.sin(a)];
  });
}

/// Mesh with its sharp edges drawn in ink.
export function edged(geometry, material, line = ink(), angle = 28) {
  const mesh = new Mesh(geometry, material);
  mesh.castShadow = !material.transparent;
  mesh.receiveShadow = true;
  mesh.add(new LineSegments(new EdgesGeometry(geometry, angle), line));
  return mesh;
}

/// Open line through points [[x, y, z], ...].
export function polyline(points, material) {
  const g = new BufferGeometry();
  g.setAttribute("position", new BufferAttribute(new Float32Array(points.flat()), 3));
  return new Line(g, material);
}

/// Slanting stripes as a texture: told from plain surfaces without their colour.
export function stripes(paper, stroke, width = 0.3, repeat = 1) {
  const c = document.createElement("canvas");
  c.width = c.height = 64;
  const g = c.getContext("2d");
  g.fillStyle = paper;
  g.fillRect(0, 0, 64, 64);
  g.strokeStyle = stroke;
  g.lineWidth = 64 * width;
  for (const o of [-64, 0, 64]) {
    g.beginPath();
    g.moveTo(o - 8, 72);
    g.lineTo(o + 72, -8);
    g.stroke();
  }
  const t = new CanvasTexture(c);
  t.wrapS = t.wrapT = RepeatWrapping;
  t.repeat.set(repeat, repeat);
  t.colorSpace = "srgb";
  return t;
}

export { DoubleSide };
