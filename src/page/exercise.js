// One exercise in place: the task, an answer judged with a reason, hints that cost, the solution.

import { ask, draw, element, latest } from "./ask.js";

let made = 0;

/** Puts an exercise into a place; `wanted` is its seed, level and kind, and `done` is called with the points, once. */
export async function exercise(place, wanted, done = () => {}) {
  const given = await ask("exercise", wanted);
  const [task, hints, solution] = [element("div", { class: "task" }), element("ol", { class: "hints" }), element("div", { class: "solution" })];
  const result = element("p", { class: "result", role: "status" });
  const trouble = element("p", { class: "trouble", role: "alert" });
  const input = element("input", { name: "answer", type: "text", class: "mono", autocomplete: "off", spellcheck: "false", id: `answer-${++made}` });
  const hint = element("button", { type: "button", class: "outlined", "data-do": "hint" }, "Give a hint");
  const solve = element("button", { type: "button", class: "outlined", "data-do": "solve" }, "Show the solution");
  const form = element("form", { class: "line" }, element("label", { class: "grow" }, "Your answer", input),
    element("button", { type: "submit" }, "Check my answer"), hint, solve);
  draw(task, given.html);
  place.replaceChildren(task, form, trouble, result, hints, solution);
  const left = [...given.hints];
  let tries = 0;
  let over = false;
  const show = latest(trouble);

  function end(points) {
    if (!over) done(points);
    over = true;
  }
  hint.addEventListener("click", () => {
    hints.append(element("li", {}, left.shift()));
    hint.disabled = !left.length;
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const asked = { ...wanted, answer: input.value, hints: given.hints.length - left.length, tries };
    show(() => ask("judge", asked), (reply) => {
      if (reply.right) {
        result.textContent = over ? "\u2713 Right." : `\u2713 Right: ${reply.points} of ${given.worth} points.`;
        draw(solution, reply.html);
        end(reply.points);
      } else {
        result.textContent = `\u2260 Not yet: ${reply.why}.`;
        if (input.value.trim()) tries += 1;
      }
    });
  });
  solve.addEventListener("click", () => {
    show(() => ask("solution", wanted), (reply) => { draw(solution, reply.html); end(0); });
  });
  return given;
}
