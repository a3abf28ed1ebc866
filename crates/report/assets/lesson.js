// Arrow keys between the cases of a lesson: one at a time is shown. Without this script all of them stand below each other.
(() => {
  "use strict";
  const cases = Array.from(document.querySelectorAll("section.case"));
  const links = Array.from(document.querySelectorAll("header nav a"));
  if (cases.length === 0) return;
  let now = -1;
  const show = (wanted, remember) => {
    const next = Math.max(0, Math.min(cases.length - 1, wanted));
    if (next === now) return;
    const left = cases[now];
    if (left) for (const p of left.querySelectorAll("section.player")) if (p.player && p.player.pause) p.player.pause();
    now = next;
    cases.forEach((c, i) => c.classList.toggle("now", i === now));
    links.forEach((a, i) => (i === now ? a.setAttribute("aria-current", "true") : a.removeAttribute("aria-current")));
    window.scrollTo(0, 0);
    if (remember) {
      history.replaceState(null, "", "#" + cases[now].id);
      // Tab goes on within the case.
      cases[now].querySelector("h2").focus({ preventScroll: true });
    }
    // A picture that was hidden has had no size until now.
    window.dispatchEvent(new Event("resize"));
  };
  const fromHash = () => {
    const i = cases.findIndex((c) => "#" + c.id === location.hash);
    show(i < 0 ? 0 : i, false);
  };
  document.body.classList.add("one");
  fromHash();
  window.addEventListener("hashchange", fromHash);
  document.addEventListener("keydown", (e) => {
    if (e.defaultPrevented || e.altKey || e.ctrlKey || e.metaKey) return;
    const at = e.target instanceof Element ? e.target : document.body;
    if (at.closest("select, textarea, [contenteditable]")) return;
    // The picture has arrow keys of its own; a pointer in the hand sends page keys, which are always the lesson's.
    if (!e.key.startsWith("Page") && at.closest("section.player, input")) return;
    const step = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 }[e.key];
    if (step) show(now + step, true);
    else if (e.key === "Home") show(0, true);
    else if (e.key === "End") show(cases.length - 1, true);
    else return;
    e.preventDefault();
  });
  // On paper everything is told.
  let shut = [];
  window.addEventListener("beforeprint", () => {
    shut = Array.from(document.querySelectorAll("details:not([open])"));
    for (const d of shut) d.open = true;
  });
  window.addEventListener("afterprint", () => { for (const d of shut) d.open = false; });
})();
