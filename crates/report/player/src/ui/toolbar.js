// Buttons: play, steps, speed, view, forces, moments.
import { SPEEDS } from "../clock.js";
import { WORDS, instant, speedText } from "../words.js";
import { VIEWS } from "../scene/views.js";
import { el, svg } from "./dom.js";

const ICONS = {
  play: "M5 3l12 7-12 7z",
  pause: "M4 3h4v14H4zM12 3h4v14h-4z",
  back: "M15 3v14L6 10zM4 3h2v14H4z",
  forward: "M5 3v14l9-7zM14 3h2v14h-2z",
  full: "M2 2h6v2.4H4.4V8H2zM12 2h6v6h-2.4V4.4H12zM2 12h2.4v3.6H8V18H2zM15.6 12H18v6h-6v-2.4h3.6z",
  start: "M16 3v14L8 10zM9 3v14L2 10z",
};

function icon(name) {
  return svg("svg", { viewBox: "0 0 20 20", width: 18, height: 18, "aria-hidden": "true" }, svg("path", { d: ICONS[name], fill: "currentColor" }));
}

export class Toolbar {
  /// player: { clock, setView, setForces, view, forces }; one of its sections.
  constructor(player, replays, number) {
    this.player = player;
    const { clock } = player;
    const button = (name, label, act) => el("button", { type: "button", class: `gp-button gp-${name}`, "aria-label": label, title: label, onclick: act }, icon(name));
    this.playButton = button("play", WORDS.play, () => (clock.playing ? clock.pause() : clock.play()));
    this.speed = el("select", { class: "gp-speed", onchange: () => clock.setSpeed(this.speed.value === "auto" ? "auto" : Number(this.speed.value)) },
      ...SPEEDS.map((s) => el("option", { value: s }, speedText(s))));
    this.views = VIEWS.map((v, i) => {
      const input = el("input", { type: "radio", name: `gp-view-${number}`, value: v, onchange: () => player.setView(v) });
      return { v, input, label: el("label", { class: "gp-tab", title: `${WORDS.views[v]} (${i + 1})` }, input, el("span", {}, WORDS.views[v])) };
    });
    // In a narrow window: one run, or all above each other, on the one clock.
    this.only = replays.length < 2 ? [] : [...replays.map((_, i) => i), -1].map((i) => {
      const name = i >= 0 ? "ABCDEFGH"[i] ?? "?" : replays.length === 2 ? WORDS.both : WORDS.all;
      const input = el("input", { type: "radio", name: `gp-only-${number}`, value: i, onchange: () => player.setOnly(i) });
      return { i, input, label: el("label", { class: "gp-tab", title: replays[i]?.title ?? name }, input, el("span", {}, name)) };
    });
    this.forces = el("input", { type: "checkbox", checked: true, onchange: () => player.setForces(this.forces.checked) });
    this.repeat = el("input", { type: "checkbox", onchange: () => (clock.repeat = this.repeat.checked) });
    this.moments = el("select", { class: "gp-moments", onchange: () => {
      if (this.moments.value !== "") clock.seek(Number(this.moments.value));
      this.moments.value = "";
    } }, el("option", { value: "" }, `${WORDS.moments}\u2026`));
    const several = replays.length > 1;
    replays.forEach((r, i) => {
      const group = several ? el("optgroup", { label: `${"ABCDEFGH"[i]}  ${r.title}` }) : this.moments;
      for (const e of r.events ?? []) group.append(el("option", { value: e.time_s }, `${instant(e.time_s)}  ${e.label}`));
      if (several) this.moments.append(group);
    });
    const full = document.fullscreenEnabled
      ? [button("full", WORDS.full, () => (document.fullscreenElement ? document.exitFullscreen() : player.root.requestFullscreen()))]
      : [];
    this.root = el("div", { class: "gp-bar", role: "toolbar", "aria-label": WORDS.player },
      el("div", { class: "gp-group" },
        button("start", WORDS.start, () => { clock.pause(); clock.seek(0); }),
        button("back", WORDS.back, () => clock.step(-1)),
        this.playButton,
        button("forward", WORDS.forward, () => clock.step(1))),
      el("label", { class: "gp-field" }, el("span", {}, WORDS.speed), this.speed),
      el("fieldset", { class: "gp-tabs gp-viewtabs" }, el("legend", {}, WORDS.viewsLegend), ...this.views.map((v) => v.label)),
      ...(this.only.length ? [el("fieldset", { class: "gp-tabs gp-onlytabs" }, el("legend", {}, WORDS.onlyLegend), ...this.only.map((o) => o.label))] : []),
      // One piece: in a narrow window it goes to a line of its own as a whole.
      el("div", { class: "gp-rest" },
        el("label", { class: "gp-field gp-check" }, this.forces, el("span", {}, WORDS.forces)),
        el("label", { class: "gp-field gp-check" }, this.repeat, el("span", {}, WORDS.repeat)),
        el("label", { class: "gp-field" }, el("span", { class: "gp-hidden" }, WORDS.moments), this.moments),
        ...full),
    );
  }

  update() {
    const { clock, view, forces } = this.player;
    const name = clock.playing ? "pause" : "play";
    if (this.playButton.dataset.now !== name) {
      this.playButton.dataset.now = name;
      this.playButton.replaceChildren(icon(name));
      const words = clock.playing ? WORDS.pause : WORDS.play;
      this.playButton.setAttribute("aria-label", words);
      this.playButton.title = words;
    }
    const speed = String(clock.speed);
    if (this.speed.value !== speed) {
      if (![...this.speed.options].some((o) => o.value === speed)) this.speed.append(el("option", { value: speed }, speedText(clock.speed)));
      this.speed.value = speed;
    }
    for (const v of this.views) v.input.checked = v.v === view;
    for (const o of this.only) o.input.checked = o.i === this.player.only;
    this.forces.checked = forces;
  }
}
