// Mounts a player on every `section.player` of the page once it has been read.
import { Player } from "./section.js";
import { Opening } from "./opening.js";
import { CSS } from "./style.js";
import { el } from "./ui/dom.js";
import { WORDS } from "./words.js";

function mount() {
  for (const root of document.querySelectorAll("div.opening")) new Opening(root);
  const sections = document.querySelectorAll("section.player");
  if (!sections.length) return;
  document.head.append(el("style", { id: "gp-style" }, CSS));
  for (const section of sections) {
    if (section.player) continue;
    try {
      new Player(section);
    } catch (error) {
      section.append(el("p", { class: "gp-error", role: "alert" }, WORDS.unreadable + error.message));
    }
  }
}

if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", mount);
else mount();
