// Learn: a lesson of one pattern at a time. Its numbers are moved, its exercise is judged in place.

import { after, ask, by, draw, element, latest } from "./ask.js";
import { exercise } from "./exercise.js";

export function learn() {
  const show = latest(by("learn-error"), (isStale) => { by("learn-lesson").hidden = isStale; });
  const showPicture = latest(by("learn-error"));
  let current = "";
  let inputs = [];

  const picture = () => showPicture(() => ask("picture", { name: current, values: inputs.map((input) => Number(input.value)) }),
    (given) => draw(by("learn-picture"), given.html));
  const soon = after(40, picture);

  function slider(moved) {
    const number = element("b", {}, moved.begin);
    const input = element("input", { type: "range", min: moved.least, max: moved.most, step: moved.step, value: moved.begin });
    input.addEventListener("input", () => { number.textContent = input.value; soon(); });
    inputs.push(input);
    return element("label", { class: "grow" }, element("span", {}, `${moved.label}: `, number), input);
  }

  async function open(name) {
    await show(() => ask("lesson", { name }), async (lesson) => {
      current = lesson.name;
      inputs = [];
      by("learn-name").textContent = lesson.title;
      draw(by("learn-begin"), lesson.begin);
      by("learn-moved").replaceChildren(...lesson.moved.map(slider));
      draw(by("learn-work"), lesson.work);
      draw(by("learn-frame"), lesson.frame);
      by("learn-more").href = `?level=${lesson.level}#practice`;
      for (const link of by("learn-lessons").querySelectorAll("a")) {
        if (link.dataset.lesson === current) link.setAttribute("aria-current", "true");
        else link.removeAttribute("aria-current");
      }
      picture();
      const place = element("div", { class: "exercise", "data-kind": lesson.exercise });
      by("learn-exercise").replaceChildren(place);
      // The first exercise is the one that the lesson prints in a terminal.
      await exercise(place, { seed: "1", kind: lesson.exercise }).catch((error) => { place.textContent = error.message; });
    });
  }

  async function enter(words) {
    const list = by("learn-lessons");
    if (!list.firstChild) {
      await show(() => ask("lessons", {}), ({ lessons }) => list.replaceChildren(...lessons.map((lesson, at) => element("li", {},
        element("a", { href: `?lesson=${lesson.name}#learn`, "data-lesson": lesson.name }, `${at + 1} ${lesson.title}`)))));
    }
    const wanted = words.get("lesson") ?? (current || list.querySelector("a")?.dataset.lesson);
    if (wanted && wanted !== current) await open(wanted);
  }
  return { enter };
}
