// Questions and their answers, and small pieces of the page.

import { question, upload } from "./answers.js";

export const by = (id) => document.getElementById(id);

/**
 * Question in, answer out: the one way in which the page asks anything. A refusal comes as an Error with the program's
 * words. Files go up as a stream, with `progress` told of how much has gone.
 */
export async function ask(what, request, { files, progress, signal } = {}) {
  const { status, answer } = files ? await upload(what, request, files, progress, signal) : await question(what, request);
  if (status !== 200) throw new Error(answer?.error ?? "The program gave no answer; ask again.");
  return answer;
}

/**
 * Shows an answer, or why there is none; later answers overtake earlier ones. `stale` is called when what is shown is no
 * longer the answer to the question, so that it is never taken for it.
 */
export function latest(trouble, stale = () => {}) {
  let turn = 0;
  return async (question, show) => {
    const mine = ++turn;
    try {
      const answer = await question();
      if (mine !== turn) return;
      trouble.textContent = "";
      stale(false);
      show(answer);
    } catch (error) {
      if (mine !== turn) return;
      trouble.textContent = error.message;
      stale(true);
    }
  };
}

/** Markup that the program drew; it escapes everything that it did not write itself. */
export function draw(into, html) {
  into.innerHTML = html;
}

/** An element with attributes and children; text is text. */
export function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(key, value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

/** Rule sets to be ticked; gives what asks for those that are. None ticked means no regulator's rules. */
export function ruleBoxes(into, begun) {
  into.append(...begun.rules.filter((each) => each.name !== "none").map((each) => element("label", { class: "tick" },
    element("input", { type: "checkbox", value: each.name }), each.title)));
  return () => [...into.querySelectorAll("input:checked")].map((each) => each.value);
}

/** Runs something once the typing pauses. */
export function after(pause, run) {
  let timer;
  return (...given) => { clearTimeout(timer); timer = setTimeout(() => run(...given), pause); };
}

/** The text of a file with all that is in it: a mark of the byte order belongs to its digest. */
export async function textOf(file) {
  return new TextDecoder("utf-8", { ignoreBOM: true }).decode(await file.arrayBuffer());
}

/** Hands a text to the person as a file. */
export function save(name, text, type) {
  const link = element("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

/** Asks before something is lost; gives the value of the button that was pressed, nothing for none. */
export function confirmed(title, text, buttons) {
  const dialog = by("question");
  by("question-title").textContent = title;
  by("question-text").textContent = text;
  by("question-buttons").replaceChildren(...buttons.map(([value, words], at) =>
    element("button", { type: "submit", value, class: at ? "outlined" : undefined }, words)));
  dialog.returnValue = "";
  dialog.showModal();
  return new Promise((done) => dialog.addEventListener("close", () => done(dialog.returnValue), { once: true }));
}
