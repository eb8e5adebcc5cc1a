// Steps: each subject asks its question and shows what the program worked out.

import { ask, draw, latest } from "./ask.js";

export function steps() {
  const subjects = new Map();
  for (const subject of document.querySelectorAll("#steps [data-ask]")) {
    const form = subject.querySelector("form");
    const answer = subject.querySelector(".answer");
    const show = latest(subject.querySelector(".trouble"), (isStale) => { answer.hidden = isStale; });
    const work = () => {
      const request = Object.fromEntries([...form.elements].filter((each) => each.name)
        .map((each) => [each.name, each.type === "checkbox" ? each.checked : each.value]));
      show(() => ask(subject.dataset.ask, request), (given) => draw(answer, given.html));
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
    subjects.set(subject.dataset.ask, { subject, form, work, answer });
  }

  /** A frame of the address goes into the division, and where it is a position, into the pair. */
  function enter(words) {
    const frame = words.get("frame");
    for (const { subject, work, answer } of subjects.values()) if (subject.open && !answer.firstChild) work();
    if (!frame) return;
    const { form, work } = subjects.get("parity");
    if (form.elements.frame.value === frame) return;
    form.elements.frame.value = frame;
    work();
    const pair = subjects.get("position").form.elements;
    const [first, second] = [pair.first.value, pair.second.value];
    if (frame.length === 28 && first !== frame && second !== frame) pair[first ? "second" : "first"].value = frame;
  }
  return { enter };
}
