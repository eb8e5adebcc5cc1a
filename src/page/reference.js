// Reference: what there is, and what is found by a name or a word.

import { ask, by, draw, latest } from "./ask.js";

export function reference(page) {
  const place = by("reference-found");
  const show = latest(by("reference-error"), (isStale) => { place.hidden = isStale; });
  const name = by("reference-name");
  const look = () => show(() => ask("reference", { name: name.value }), (given) => draw(place, given.html));

  by("reference-form").addEventListener("submit", (event) => {
    event.preventDefault();
    page.go(`?list=${encodeURIComponent(name.value.trim())}#reference`);
  });
  function enter(words) {
    name.value = words.get("list") ?? "";
    look();
  }
  return { enter };
}
