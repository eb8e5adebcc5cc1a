// Watch: the steps tick off while lines come, from the command or given here in pieces; asked for anew without a reload.

import { ask, by, draw, ruleBoxes } from "./ask.js";

/** How often the page asks for the state of the lines. */
const EVERY = 1000;
/** This many bytes of a file go in one question. */
const PIECE = 1 << 18;
/** Where this tab notes which lines it gave, so that a reload goes on with them. */
const NOTED = "squitterlab-watch";

const quietly = (run) => { try { return run(); } catch { return null; } };

export function watch(page) {
  const { begun, views: { install } } = page;
  const isCommand = Boolean(begun.watched);
  const state = by("watch-state");
  const trouble = by("watch-trouble");
  // Which lines: those of the command have no id.
  let id = isCommand ? "" : quietly(() => sessionStorage.getItem(NOTED));
  let turn = null;
  let hasEnded = false;
  let isBusy = false;
  let profile = null;
  // Pieces go in their order.
  let queue = Promise.resolve();

  const rules = ruleBoxes(by("watch-rules"), begun);

  by("watch-give").hidden = isCommand;
  by("watch-followed").hidden = !isCommand;
  if (isCommand) by("watch-followed").textContent = `Followed: ${begun.watched}, compared with the profile that the page was started with.`;

  function note(given) {
    id = given;
    quietly(() => (given ? sessionStorage.setItem(NOTED, given) : sessionStorage.removeItem(NOTED)));
  }

  function shown(given) {
    if (given.unchanged || turn !== null && given.turn < turn) return;
    ({ turn, has_ended: hasEnded } = given);
    const open = [...by("watch-answer").querySelectorAll("details")].map((each) => each.open);
    draw(by("watch-answer"), given.html);
    [...by("watch-answer").querySelectorAll("details")].forEach((each, at) => { each.open = open[at] ?? false; });
    const { state: now } = given;
    const next = now.steps.findIndex((step) => !step.complete);
    const complete = now.steps.filter((step) => step.complete).length;
    const said = `${given.name}, under ${given.rules}: ${complete} of ${now.steps.length} steps complete${hasEnded ? "; ended" : next < 0 ? "; go to standby, and end with the verdict" : ""}.`;
    // What is said again would be read aloud again.
    if (state.textContent !== said) state.textContent = said;
    trouble.textContent = given.trouble ?? "";
    by("watch-end").hidden = hasEnded;
    by("watch-again").hidden = isCommand;
    const record = by("watch-record");
    record.hidden = !hasEnded;
    by("watch-verdict").replaceChildren();
    if (!hasEnded) return;
    draw(by("watch-verdict"), given.verdict);
    URL.revokeObjectURL(record.href);
    record.href = URL.createObjectURL(new Blob([given.record], { type: "text/html" }));
    record.download = given.record_name;
  }

  async function poll() {
    if (isBusy || hasEnded || id === null || by("watch").hidden) return;
    isBusy = true;
    try {
      shown(await ask("watch", { watch: id, seen: turn }));
    } catch (error) {
      trouble.textContent = error.message;
      if (!isCommand && turn === null) note(null);
    }
    isBusy = false;
  }

  const hex = (octets) => Array.from(octets, (octet) => octet.toString(16).padStart(2, "0")).join("");

  /** Gives octets to what is followed, which begins with the first. */
  async function give(octets, name) {
    if (hasEnded) throw new Error("These lines have ended; press Start again for others.");
    if (id === null) {
      profile = install.text();
      note((await ask("watch", { profile, profile_name: install.name(), rules: rules(), name })).watch);
    }
    shown(await ask("watch", { watch: id, octets: hex(octets) }));
  }

  function inTurn(work) {
    queue = queue.then(async () => {
      trouble.textContent = "";
      try { await work(); } catch (error) { trouble.textContent = error.message; }
    });
    return queue;
  }

  by("watch-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const box = by("watch-lines");
    const text = box.value;
    if (text.trim() === "") {
      trouble.textContent = "Paste lines of a capture first.";
      return;
    }
    inTurn(async () => {
      await give(new TextEncoder().encode(text.endsWith("\n") ? text : `${text}\n`), "lines on the page");
      box.value = "";
    });
  });

  /** Takes files; false where the lines come from the command. */
  function files(given) {
    if (isCommand) return false;
    for (const file of given) {
      inTurn(async () => {
        for (let at = 0; at < file.size && !hasEnded; at += PIECE) {
          await give(new Uint8Array(await file.slice(at, at + PIECE).arrayBuffer()), file.name);
        }
      });
    }
    return true;
  }
  by("watch-files").addEventListener("change", (event) => { files([...event.target.files]); event.target.value = ""; });
  install.watch(() => {
    if (id && profile !== null && profile !== install.text()) {
      trouble.textContent = "The install has changed: these lines are still compared with the one before; press Start again for this one.";
    }
  });
  by("watch-rules").addEventListener("change", () => {
    if (id) trouble.textContent = "These lines are still compared under the rules before; press Start again for these.";
  });
  by("watch-end").addEventListener("click", () => inTurn(async () => shown(await ask("watch", { watch: id, finish: true }))));
  by("watch-again").addEventListener("click", () => {
    note(null);
    turn = null;
    hasEnded = false;
    for (const name of ["watch-answer", "watch-verdict", "watch-state"]) by(name).replaceChildren();
    by("watch-again").hidden = by("watch-record").hidden = true;
    by("watch-lines").focus();
  });
  setInterval(poll, EVERY);
  return { enter: poll, files };
}
