// The rooms of the page, and what each needs to begin.

import { ask, by, element } from "./ask.js";
import { bits } from "./bits.js";
import { install } from "./install.js";
import { verdict } from "./verdict.js";
import { steps } from "./steps.js";
import { practice } from "./practice.js";

function room() {
  const rooms = [...document.querySelectorAll("main > section")];
  const wanted = rooms.find((each) => `#${each.id}` === location.hash) ?? rooms[0];
  for (const each of rooms) each.hidden = each !== wanted;
  for (const link of document.querySelectorAll("nav a")) {
    if (link.hash === `#${wanted.id}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  wanted.dispatchEvent(new Event("entered"));
}

window.addEventListener("hashchange", () => {
  if (location.hash !== "#content") { room(); window.scrollTo(0, 0); }
});

const start = await ask("start");
by("program-version").textContent = start.program_version;
by("cautions").append(...start.cautions.map((caution) => element("li", {}, caution)));
bits(start);
const profile = install(start);
verdict(start, profile);
steps();
practice();
room();
document.body.dataset.ready = "yes";
