// The cursor in figures of the page: `figure[data-replays]` names the replays whose clock it is, `data-clocks` of the picture
// tells where time runs: left, top, right, bottom and two times for each axis.
import { svg } from "./ui/dom.js";
import { instant } from "./words.js";

class FigureCursor {
  constructor(picture, seek) {
    this.clocks = picture.dataset.clocks.split(",").map((text) => {
      const [left, top, right, bottom, from, to] = text.split(" ").map(Number);
      return { left, top, right, bottom, from, to };
    });
    this.middle = picture.viewBox.baseVal.width / 2;
    const size = picture.viewBox.baseVal.width / 90;
    this.lines = this.clocks.map((c) => svg("line", { class: "gp-figureline", y1: c.top, y2: c.bottom }));
    this.read = svg("text", { class: "gp-figuretime", "font-size": size, y: this.clocks[0].top + size });
    this.gap = 0.4 * size;
    picture.append(svg("g", { class: "gp-figurecursor", "aria-hidden": "true" }, ...this.lines, this.read));
    picture.classList.add("gp-seekable");
    picture.addEventListener("pointerdown", (e) => {
      const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(picture.getScreenCTM().inverse());
      const c = this.clocks.find((k) => p.x >= k.left && p.x <= k.right && p.y >= k.top && p.y <= k.bottom);
      if (c) seek(c.from + ((c.to - c.from) * (p.x - c.left)) / (c.right - c.left));
    });
    this.seen = true;
    this.time = 0;
    // Large drawings are painted anew only where they are seen.
    if (typeof IntersectionObserver === "function") {
      this.seen = false;
      new IntersectionObserver((entries) => {
        this.seen = entries.some((e) => e.isIntersecting);
        this.update(this.time);
      }, { rootMargin: "100px" }).observe(picture);
    }
  }

  update(t) {
    this.time = t;
    if (!this.seen && this.drawn) return;
    this.drawn = true;
    this.clocks.forEach((c, i) => {
      const share = Math.min(1, Math.max(0, (t - c.from) / (c.to - c.from)));
      const x = c.left + share * (c.right - c.left);
      this.lines[i].setAttribute("x1", x);
      this.lines[i].setAttribute("x2", x);
      this.lines[i].classList.toggle("gp-beyond", t > c.to || t < c.from);
      if (i) return;
      const left = x > this.middle;
      this.read.setAttribute("x", left ? x - this.gap : x + this.gap);
      this.read.setAttribute("text-anchor", left ? "end" : "start");
      this.read.textContent = instant(t);
    });
  }
}

/// Cursors in the figures of these replays that no other section moves.
export function figureCursors(ids, seek) {
  const out = [];
  for (const figure of document.querySelectorAll("figure[data-replays]")) {
    const picture = figure.querySelector("svg[data-clocks]");
    if (!picture || picture.querySelector(".gp-figurecursor")) continue;
    if (figure.dataset.replays.split(/\s+/).some((id) => ids.includes(id))) out.push(new FigureCursor(picture, seek));
  }
  return out;
}
