// Start: three doors, the invented example, drafts, and the right place for anything that is pasted or dropped.

import { ask, by, draw, element, latest, textOf } from "./ask.js";
import { others, when } from "./draft.js";

export function start(page) {
  const show = latest(by("start-error"));
  const box = by("start-paste");
  let drawn = false;

  /** The invented profile, and with it the invented faulty capture. */
  async function example(view) {
    await show(() => ask("example", {}), async (given) => {
      await page.views.install.load(given.profile, given.profile_name);
      page.views.verdict.take([new File([given.capture], given.capture_name)]);
      page.go(`${location.pathname}#${view}`);
    });
  }

  /** Takes what was pasted to where it belongs. */
  async function paste(text) {
    await show(() => ask("place", { text }), async (place) => {
      by("start-answer").textContent = "";
      box.value = "";
      if (place.is === "frame") page.go(`?frame=${place.frame}#bits`);
      else if (place.is === "capture") {
        page.views.verdict.take([new File([text], "pasted.txt")]);
        page.go(`${location.pathname}#verdict`);
      } else if (place.is === "profile" || place.is === "mark") {
        if (!await page.views.install.mayBeReplaced()) return;
        await page.views.install.load(place.profile ?? text, place.mark ? `${place.mark}.json` : "pasted.json");
        page.go(`${location.pathname}#install`);
      } else by("start-answer").textContent = place.text;
    });
  }

  /** Takes files that were dropped: a profile to Install, all else to Watch where that is open, else to Verdict. */
  async function files(given) {
    const [first] = given;
    const head = given.length === 1 && first.size < 1 << 20 ? await textOf(first) : "";
    const place = head && await ask("place", { text: head }).catch(() => null);
    if (place?.is === "profile") {
      if (!await page.views.install.mayBeReplaced()) return;
      await page.views.install.load(head, first.name);
      page.go(`${location.pathname}#install`);
    } else if (!by("watch").hidden && page.views.watch.files(given)) {
      // Lines for the view that is open.
    } else {
      page.views.verdict.take(given);
      page.go(`${location.pathname}#verdict`);
    }
  }

  by("start-example").addEventListener("click", () => example("verdict"));
  by("start-form").addEventListener("submit", (event) => { event.preventDefault(); paste(box.value); });
  // What is pasted goes at once; what is typed waits for the button.
  box.addEventListener("paste", () => setTimeout(() => paste(box.value)));

  function enter() {
    const drafts = others();
    by("start-drafts").replaceChildren(...drafts.map((draft) => {
      const button = element("button", { type: "button", class: "plain" },
        `${draft.title || draft.name}, kept ${when(draft.kept)}`);
      button.addEventListener("click", async () => {
        if (!await page.views.install.mayBeReplaced()) return;
        await page.views.install.load(draft.text, draft.name, { draft });
        page.go(`${location.pathname}#install`);
      });
      return element("li", {}, button);
    }));
    by("start-continue").hidden = !drafts.length;
    if (drawn) return;
    drawn = true;
    ask("doors", {}).then((doors) => {
      for (const [name, html] of Object.entries(doors)) draw(by(`door-${name}`), html);
    }).catch(() => { drawn = false; });
  }
  return { enter, paste, files, example };
}
