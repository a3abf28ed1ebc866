// Drives a lesson. Space, Enter and a pointer's page key lead on: record, section, three beats, answer, next case. Without
// this script all cases stand below each other.
(() => {
  "use strict";
  const cases = Array.from(document.querySelectorAll("section.case"));
  const links = Array.from(document.querySelectorAll("header nav a"));
  if (cases.length === 0) return;
  let now = -1;
  const opening = () => cases[now].querySelector("div.opening").opening;
  const has = (name) => cases[now].classList.contains(name);
  const set = (name, on) => cases[now].classList.toggle(name, on);
  const words = () => {
    const c = cases[now];
    const go = c.querySelector(".go");
    const o = opening();
    const last = now === cases.length - 1;
    const step = o ? o.step : 3;
    const name = has("answered") ? "case" : has("judging") ? "next" : step >= 3 ? "answer" : step === 0 ? "first" : "next";
    go.textContent = go.dataset[name];
    go.disabled = last && has("answered");
    c.querySelector(".back").disabled = now === 0 && step === 0 && !has("answered");
    const around = c.querySelector(".around");
    around.textContent = has("looking") ? around.dataset.flat : around.dataset.around;
  };
  const fresh = () => {
    set("answered", false);
    set("looking", false);
    set("judging", !!cases[now].querySelector(".record"));
    if (opening() && opening().ready) opening().to(0);
  };
  const show = (wanted, remember) => {
    const next = Math.max(0, Math.min(cases.length - 1, wanted));
    if (next === now) return;
    const left = cases[now];
    if (left) {
      for (const p of left.querySelectorAll("section.player")) if (p.player && p.player.pause) p.player.pause();
      if (opening()) opening().stop();
    }
    now = next;
    cases.forEach((c, i) => c.classList.toggle("now", i === now));
    links.forEach((a, i) => (i === now ? a.setAttribute("aria-current", "true") : a.removeAttribute("aria-current")));
    fresh();
    if (opening()) opening().make();
    window.scrollTo(0, 0);
    if (remember) {
      history.replaceState(null, "", "#" + cases[now].id);
      // Tab goes on within the case.
      cases[now].querySelector("h2").focus({ preventScroll: true });
    }
    // A picture that was hidden has had no size until now.
    window.dispatchEvent(new Event("resize"));
    words();
  };
  const forth = () => {
    if (has("looking")) look(false);
    else if (has("judging")) {
      set("judging", false);
      if (opening()) opening().draw();
    } else if (opening() && opening().next()) set("answered", false);
    else if (!has("answered")) set("answered", true);
    else if (now < cases.length - 1) show(now + 1, true);
    words();
  };
  const back = () => {
    if (has("looking")) look(false);
    else if (has("answered")) set("answered", false);
    else if (opening() && opening().back()) set("judging", false);
    else if (!has("judging") && cases[now].querySelector(".record")) set("judging", true);
    else show(now - 1, true);
    words();
  };
  /// To the player and back; its keys work at once.
  const look = (on) => {
    set("looking", on);
    for (const p of cases[now].querySelectorAll("section.player")) {
      if (!p.player) continue;
      if (!on) p.player.pause();
      else {
        if (opening()) p.player.seek(opening().time);
        window.dispatchEvent(new Event("resize"));
        const picture = p.querySelector(".gp-picture, .gp");
        if (picture) picture.focus({ preventScroll: true });
      }
    }
    if (!on) cases[now].querySelector("h2").focus({ preventScroll: true });
    words();
  };
  const full = () => {
    if (document.fullscreenElement) document.exitFullscreen();
    else if (document.documentElement.requestFullscreen) document.documentElement.requestFullscreen();
  };
  const fromHash = () => {
    const i = cases.findIndex((c) => "#" + c.id === location.hash);
    show(i < 0 ? 0 : i, false);
  };
  document.body.classList.add("one");
  fromHash();
  // The openings are there once the page has been read.
  document.addEventListener("DOMContentLoaded", () => {
    if (opening()) opening().make();
    words();
  });
  window.addEventListener("hashchange", fromHash);
  for (const c of cases) {
    c.querySelector(".go").addEventListener("click", forth);
    c.querySelector(".back").addEventListener("click", back);
    c.querySelector(".around").addEventListener("click", () => look(!has("looking")));
    const whole = c.querySelector(".full");
    whole.addEventListener("click", full);
    if (!document.fullscreenEnabled) whole.remove();
    for (const input of c.querySelectorAll(".switch input")) {
      input.addEventListener("change", () => {
        const o = c.querySelector("div.opening");
        if (input.value === "both") delete o.dataset.show;
        else o.dataset.show = input.value;
        if (o.opening) o.opening.draw();
      });
    }
    c.addEventListener("opening-step", words);
  }
  document.addEventListener("keydown", (e) => {
    if (e.defaultPrevented || e.altKey || e.ctrlKey || e.metaKey) return;
    const at = e.target instanceof Element ? e.target : document.body;
    if (at.closest("select, textarea, [contenteditable]")) return;
    const player = at.closest("section.player");
    if (e.key === "PageDown") forth();
    else if (e.key === "PageUp") back();
    else if (e.key === "v" || e.key === "V" || (e.key === "Escape" && has("looking"))) look(!has("looking"));
    // The picture has keys of its own.
    else if (player) return;
    else if (e.key === "f" || e.key === "F") full();
    else if (e.key === "Backspace" || (e.key === " " && e.shiftKey)) back();
    else if (e.key === " " || e.key === "Enter") {
      // A button or a link does what it is for.
      if (at.closest("button, a, input, label")) return;
      if (e.repeat) return e.preventDefault();
      forth();
    } else if (at.closest("input")) return;
    else {
      const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
      if (step) show(now + step, true);
      else if (e.key === "Home") show(0, true);
      else if (e.key === "End") show(cases.length - 1, true);
      else return;
    }
    e.preventDefault();
  });
  // On paper every section is at first touch and everything is told.
  const inks = () => cases.map((c) => c.querySelector("div.opening").opening).filter((o) => o && o.ready);
  let were = [];
  window.addEventListener("beforeprint", () => {
    were = inks().map((o) => [o, o.step]);
    for (const o of inks()) o.paper(true);
  });
  window.addEventListener("afterprint", () => { for (const [o, step] of were) { o.paper(false); o.to(step); } });
})();
