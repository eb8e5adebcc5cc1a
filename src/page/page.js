// The views of the page in their order, the way from one to another, and what each needs to begin. A new view is a file,
// a section of page.html and a line here.

import { ask, by } from "./ask.js";
import { start } from "./start.js";
import { bits } from "./bits.js";
import { install } from "./install.js";
import { verdict } from "./verdict.js";
import { readback } from "./readback.js";
import { watch } from "./watch.js";
import { steps } from "./steps.js";
import { learn } from "./learn.js";
import { practice } from "./practice.js";
import { reference } from "./reference.js";
import { guide } from "./guide.js";

/** Each begins with the page, and gives what others may ask of it: at least `enter`, told the words of the address. */
const VIEWS = { start, install, verdict, readback, watch, bits, steps, learn, practice, reference, guide };

/** Everything that views share. */
const page = { begun: await ask("start"), views: {}, go };

/** Which view the address means: the one after the hash, else the one that its words are for. */
function wanted() {
  const words = new URLSearchParams(location.search);
  const named = location.hash.slice(1);
  const view = named in VIEWS ? named : words.has("frame") ? "bits" : words.has("setting") ? "install" : words.has("lesson") ? "learn" : words.has("list") ? "reference" : words.has("chapter") ? "guide" : "start";
  return [view, words];
}

function enter() {
  const [view, words] = wanted();
  for (const name of Object.keys(VIEWS)) by(name).hidden = name !== view;
  for (const link of document.querySelectorAll("header a[href^='#']")) {
    if (link.hash === `#${view}`) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  const title = by(`${view}-title`).textContent;
  document.title = `${title} \u2013 squitterlab`;
  page.views[view].enter?.(words);
}

/** Goes to an address of this page such as `?frame=8D…#bits`. */
function go(address, { silently = false } = {}) {
  history[silently ? "replaceState" : "pushState"](null, "", address);
  if (silently) return;
  // What the view itself leads to comes after, and stays.
  window.scrollTo(0, 0);
  by("content").focus({ preventScroll: true });
  enter();
}

/** Goes to a place within the view; the view stays, and so does its address. */
function jump(link, id) {
  const place = link.closest("main > section")?.querySelector(`[id="${id}"]`) ?? by(id);
  if (!place) return;
  if (!place.hasAttribute("tabindex")) place.tabIndex = -1;
  place.scrollIntoView();
  place.focus({ preventScroll: true });
}

/** A press on a link of this page changes the view and not the document; a modified one is the browser's affair. */
document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || link.download) return;
  const address = link.getAttribute("href");
  const isView = address.startsWith("#") && address.slice(1) in VIEWS;
  if (address.startsWith("#") && !isView) {
    event.preventDefault();
    return jump(link, address.slice(1));
  }
  if (!address.startsWith("?") && !isView) return;
  event.preventDefault();
  go(isView ? `${location.pathname}${address}` : address);
});
window.addEventListener("popstate", enter);

// A file that is dropped anywhere goes to the right place, never to the browser.
for (const kind of ["dragenter", "dragover"]) {
  window.addEventListener(kind, (event) => { event.preventDefault(); document.body.classList.add("dropping"); });
}
window.addEventListener("dragleave", (event) => { if (!event.relatedTarget) document.body.classList.remove("dropping"); });
window.addEventListener("drop", (event) => {
  event.preventDefault();
  document.body.classList.remove("dropping");
  const { files } = event.dataTransfer;
  const text = event.dataTransfer.getData("text/plain");
  if (files.length) page.views.start.files([...files]);
  else if (text) page.views.start.paste(text);
});

by("program-version").textContent = page.begun.program_version;
for (const [name, begin] of Object.entries(VIEWS)) page.views[name] = begin(page) ?? {};
enter();
document.body.dataset.ready = "yes";
