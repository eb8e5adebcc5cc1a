// Steps: each subject asks its question and shows what the program worked out.

import { ask, draw, latest } from "./ask.js";

export function steps() {
  for (const subject of document.querySelectorAll("#steps [data-ask]")) {
    const form = subject.querySelector("form");
    const show = latest(subject.querySelector(".trouble"));
    const work = () => {
      const request = Object.fromEntries([...form.elements].filter((each) => each.name)
        .map((each) => [each.name, each.type === "checkbox" ? each.checked : each.value]));
      show(() => ask(subject.dataset.ask, request), (answer) => draw(subject.querySelector(".answer"), answer));
    };
    form.addEventListener("submit", (event) => { event.preventDefault(); work(); });
    for (const button of form.querySelectorAll("[data-step]")) {
      button.addEventListener("click", () => {
        const input = form.querySelector("input");
        input.value = Number(input.value) + Number(button.dataset.step);
        work();
      });
    }
    subject.addEventListener("toggle", () => { if (subject.open && !subject.querySelector(".answer").firstChild) work(); });
    if (subject.open) work();
  }
}
