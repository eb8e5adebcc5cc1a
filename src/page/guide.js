// Guide: a chapter at a time, and the place in it that a link means.

import { ask, by, draw, latest } from "./ask.js";

export function guide() {
  const place = by("guide-text");
  const show = latest(by("guide-error"), (isStale) => { place.hidden = isStale; });

  function enter(words) {
    return show(() => ask("guide", { chapter: words.get("chapter") ?? "index" }), (given) => {
      draw(place, given.html);
      const heading = by(words.get("heading"));
      if (!heading) return;
      heading.tabIndex = -1;
      heading.scrollIntoView();
      heading.focus({ preventScroll: true });
    });
  }
  return { enter };
}
