// Practice: an exercise of a level, a kind and a seed; the points so far; a sheet to print.

import { ask, by, element, latest, save } from "./ask.js";
import { exercise } from "./exercise.js";

export function practice() {
  const show = latest(by("practice-error"), (isStale) => { by("practice-exercise").hidden = isStale; });
  const [level, kind, seed] = ["level", "kind", "seed"].map((name) => by(`practice-${name}`));
  const place = by("practice-exercise");
  let [right, asked, points] = [0, 0, 0];
  let levels = [];
  let sheet = "";

  const wanted = () => ({ level: level.value, kind: kind.value, seed: seed.value.trim() });
  const plain = (name) => name.replaceAll("_", " ");

  async function begin() {
    // An exercise that a newer one has overtaken draws where nobody looks.
    const mine = element("div", { class: "exercise" });
    await show(() => exercise(mine, wanted(), score), (given) => {
      mine.prepend(element("h2", {}, `Level ${given.level}: ${plain(given.kind)}`));
      place.replaceChildren(mine);
    });
  }
  function score(more) {
    [right, asked, points] = [right + (more ? 1 : 0), asked + 1, points + more];
    by("practice-score").textContent = `${right} of ${asked} right, ${points} ${points === 1 ? "point" : "points"}`;
  }
  function offer() {
    const chosen = kind.value;
    const all = levels.filter((each) => !level.value || String(each.level) === level.value);
    kind.replaceChildren(element("option", { value: "" }, "any"), ...all.map((each) => element("optgroup", { label: `${each.level} ${each.title}` },
      ...each.kinds.map((name) => element("option", { value: name }, plain(name))))));
    if (all.some((each) => each.kinds.includes(chosen))) kind.value = chosen;
  }
  async function load() {
    if (levels.length) return;
    const known = await ask("kinds", {});
    levels = known.levels;
    by("practice-invented").textContent = known.invented;
    level.append(...levels.map((each) => element("option", { value: each.level }, `${each.level} ${each.title}`)));
    offer();
  }

  by("practice-form").addEventListener("submit", (event) => { event.preventDefault(); begin(); });
  by("practice-next").addEventListener("click", () => {
    seed.value = Math.floor(Math.random() * 1000000);
    begin();
  });
  level.addEventListener("change", () => { offer(); begin(); });
  kind.addEventListener("change", begin);

  const showSheet = latest(by("practice-sheet-error"), (isStale) => {
    for (const name of ["save", "print", "sheet-text"]) by(`practice-${name}`).hidden = isStale;
  });
  by("practice-sheet-form").addEventListener("submit", (event) => {
    event.preventDefault();
    showSheet(() => ask("sheet", { ...wanted(), count: by("practice-count").value }), (given) => {
      sheet = given.text;
      by("practice-sheet-text").textContent = sheet;
    });
  });
  const type = "text/plain;charset=utf-8";
  by("practice-save").addEventListener("click", () => save("exercises.txt", sheet, type));
  by("practice-print").addEventListener("click", () => window.open(URL.createObjectURL(new Blob([sheet], { type })), "_blank"));

  /** The words of the address may name the level. */
  async function enter(words) {
    const named = words.get("level");
    await show(load, () => {});
    if (named && named !== level.value && levels.some((each) => String(each.level) === named)) {
      level.value = named;
      offer();
      begin();
    } else if (!place.firstChild) begin();
  }
  return { enter };
}
