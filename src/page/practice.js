// Practice: an exercise, hints one by one, an answer, the solution.

import { ask, by, draw, element, latest } from "./ask.js";

export function practice() {
  const show = latest(by("practice-error"));
  const form = by("practice-answer");
  let hints = [];
  let current = {};

  function begin() {
    current = { kind: by("practice-kind").value, seed: by("practice-seed").value.trim() };
    show(() => ask("exercise", current), (exercise) => {
      draw(by("practice-task"), exercise.html);
      hints = exercise.hints;
      by("practice-hints").replaceChildren();
      by("practice-solution").replaceChildren();
      by("practice-result").textContent = "";
      by("practice-hint").hidden = by("practice-solve").hidden = form.hidden = false;
      by("practice-hint").disabled = false;
      by("practice-entry").replaceChildren(exercise.choices.length ? choices(exercise.choices)
        : element("label", {}, "Your answer", element("input", { name: "answer", type: "text", autocomplete: "off" })));
    });
  }
  function choices(all) {
    return element("fieldset", { class: "choices" }, element("legend", {}, "What went wrong?"),
      ...all.map((each) => element("label", {}, element("input", { type: "radio", name: "answer", value: each.value }), `${each.words} `,
        element("code", {}, each.value))));
  }
  const answer = () => new FormData(form).get("answer") ?? "";

  by("practice-form").addEventListener("submit", (event) => { event.preventDefault(); begin(); });
  by("practice-next").addEventListener("click", () => {
    by("practice-seed").value = Math.floor(Math.random() * 1000000);
    begin();
  });
  by("practice-hint").addEventListener("click", () => {
    const hint = hints.shift();
    if (hint) by("practice-hints").append(element("li", {}, hint));
    by("practice-hint").disabled = !hints.length;
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    show(() => ask("solution", { ...current, answer: answer() }), (reply) => {
      by("practice-result").textContent = reply.right === null ? "Write or choose an answer first."
        : reply.right ? "✓ Right." : "≠ Not yet: try again, or take a hint.";
      if (reply.right) draw(by("practice-solution"), reply.html);
    });
  });
  by("practice-solve").addEventListener("click", () => {
    show(() => ask("solution", { ...current, answer: "" }), (reply) => draw(by("practice-solution"), reply.html));
  });
  return { enter: () => { if (!by("practice-task").firstChild) begin(); } };
}
