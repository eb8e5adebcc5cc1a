// Verdict: captures go up as a stream, the answer comes back drawn, and is requested anew when anything changes.

import { after, ask, by, draw, ruleBoxes } from "./ask.js";

/** Captures up to this size are compared again by themselves. */
const SMALL = 32 << 20;

export function verdict(page) {
  const { begun, views } = page;
  const chosen = by("verdict-files");
  const state = by("verdict-state");
  const trouble = by("verdict-error");
  const progress = by("verdict-progress");
  const answer = by("verdict-answer");
  const tools = by("verdict-tools");
  const record = by("verdict-record");
  let files = [];
  let running = null;
  // What the shown answer was made from.
  let asked = "";

  const rules = ruleBoxes(by("verdict-rules"), begun);
  const wanted = () => JSON.stringify([views.install.text(), rules(), files.map((file) => [file.name, file.size, file.lastModified])]);
  const size = () => files.reduce((sum, file) => sum + file.size, 0);
  const megabytes = (octets) => octets < 10 << 20 ? `${Math.max(1, Math.round(octets / 1024)).toLocaleString("en").replaceAll(",", "\u00a0")} kB` : `${Math.round(octets / 1048576)} MB`;

  /** Nothing that was shown may be taken for the answer to something else. */
  function outdated(why) {
    answer.classList.toggle("stale", why !== "");
    tools.hidden = why !== "" || answer.hidden;
    if (why) state.textContent = why;
  }

  async function compare() {
    running?.abort();
    trouble.textContent = "";
    if (!files.length) {
      trouble.textContent = "Choose or drop a capture first, or take the invented one.";
      return;
    }
    if (size() > begun.largest_capture) {
      outdated("");
      answer.hidden = true;
      trouble.textContent = `${megabytes(size())} is too much for the page, which takes ${megabytes(begun.largest_capture)}; `
        + "use squitterlab compare, which takes any size.";
      return;
    }
    const mine = new AbortController();
    running = mine;
    const made = wanted();
    outdated("Reading the captures.");
    progress.hidden = by("verdict-stop").hidden = false;
    progress.value = 0;
    try {
      const given = await ask("verdict", { profile_name: views.install.name(), profile: views.install.text(), rules: rules() }, {
        files, signal: mine.signal,
        progress: (loaded, total) => {
          if (running !== mine) return;
          progress.value = loaded / total;
          state.textContent = loaded < total ? `Reading: ${megabytes(loaded)} of ${megabytes(total)}` : "Comparing.";
        },
      });
      if (running !== mine) return;
      asked = made;
      shown(given);
    } catch (error) {
      if (running !== mine) return;
      state.textContent = error.name === "AbortError" ? "Stopped." : "";
      if (error.name !== "AbortError") {
        answer.hidden = true;
        trouble.textContent = error.message;
      }
    }
    running = null;
    progress.hidden = by("verdict-stop").hidden = true;
    check();
  }

  function shown(given) {
    const names = files.map((file) => file.name).join(", ");
    const { capture } = given.report;
    if (!given.read) {
      // A file without a frame gives no verdict, whatever the profile says.
      answer.hidden = true;
      outdated("");
      const skipped = Object.entries(capture.skipped).map(([reason, count]) => `${count} ${reason.replaceAll("_", " ")}`).join(", ");
      state.textContent = "Nothing was compared.";
      trouble.textContent = `${names}: ${given.report.not_heard}; check that the right file was given. `
        + `${capture.lines} lines, ${capture.comments} comments${skipped ? `, skipped: ${skipped}` : ""}.`;
      return;
    }
    answer.hidden = false;
    draw(answer, given.html);
    sift();
    outdated("");
    tools.hidden = false;
    state.textContent = `${names}: compared with ${given.report.profile}, address ${given.report.address}.`;
    URL.revokeObjectURL(record.href);
    record.href = URL.createObjectURL(new Blob([given.record], { type: "text/html" }));
    record.download = given.name;
  }

  /** Compares again where what is shown no longer answers the question. */
  function check() {
    if (!files.length || running || wanted() === asked || trouble.textContent) return;
    if (size() > SMALL) outdated("The install, the rules or the captures were changed since: compare again.");
    else compare();
  }
  const soon = after(250, () => { trouble.textContent = ""; if (!by("verdict").hidden) check(); });

  function take(given) {
    files = [...given];
    by("verdict-chosen").textContent = files.map((file) => `${file.name} (${megabytes(file.size)})`).join(", ");
    asked = "";
    if (!by("verdict").hidden) compare();
  }

  /** Of the settings, those with the wanted outcome. */
  function sift() {
    const fate = by("verdict-fate").value;
    for (const row of answer.querySelectorAll("tr[data-fate]")) row.hidden = fate !== "" && row.dataset.fate !== fate;
  }

  views.install.watch(() => { if (files.length && asked && wanted() !== asked) { outdated("The install has changed."); soon(); } });
  by("verdict-form").addEventListener("submit", (event) => { event.preventDefault(); compare(); });
  by("verdict-rules").addEventListener("change", soon);
  by("verdict-fate").addEventListener("change", sift);
  chosen.addEventListener("change", () => { if (chosen.files.length) take(chosen.files); });
  by("verdict-stop").addEventListener("click", () => running?.abort());
  by("verdict-example").addEventListener("click", () => views.start.example("verdict"));
  by("verdict-print").addEventListener("click", () => window.open(record.href, "_blank"));

  function enter() {
    trouble.textContent = "";
    check();
  }
  return { enter, take };
}
