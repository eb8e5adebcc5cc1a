// Verdict: captures go up as a stream, the answer comes back drawn.

import { by, draw } from "./ask.js";

export function verdict(start, profile) {
  const files = by("verdict-files");
  const drop = by("verdict-drop");
  const state = by("verdict-state");
  const trouble = by("verdict-error");
  const progress = by("verdict-progress");
  const record = by("verdict-record");
  let running = null;

  function compare(chosen) {
    trouble.textContent = "";
    if (!chosen.length) {
      trouble.textContent = "Choose or drop a capture first.";
      return;
    }
    const size = [...chosen].reduce((sum, file) => sum + file.size, 0);
    if (size > start.largest_capture) {
      trouble.textContent = `${Math.round(size / 1048576)} MB is too much for the page, which takes `
        + `${start.largest_capture / 1048576} MB; use squitterlab compare, which takes any size.`;
      return;
    }
    running?.abort();
    const form = new FormData();
    form.append("profile_name", profile.name());
    form.append("profile", profile.text());
    form.append("rules", by("verdict-rules").value);
    for (const file of chosen) form.append("capture", file, file.name);
    const request = new XMLHttpRequest();
    running = request;
    const done = () => { progress.hidden = true; by("verdict-stop").hidden = true; running = null; };
    request.open("POST", "ask/verdict");
    request.responseType = "json";
    request.upload.addEventListener("progress", (event) => {
      progress.value = event.loaded / event.total;
      state.textContent = `Reading: ${Math.round(event.loaded / 1048576)} of ${Math.round(event.total / 1048576)} MB`;
    });
    request.addEventListener("load", () => {
      done();
      const answer = request.response;
      if (request.status !== 200 || !answer) {
        state.textContent = "";
        trouble.textContent = answer?.error ?? "The program gave no answer.";
        return;
      }
      state.textContent = "Compared.";
      draw(by("verdict-answer"), answer);
      URL.revokeObjectURL(record.href);
      record.href = URL.createObjectURL(new Blob([answer.record], { type: "text/html" }));
      record.hidden = false;
    });
    request.addEventListener("error", () => { done(); state.textContent = ""; trouble.textContent = "The upload stopped; is the program still running?"; });
    request.addEventListener("abort", () => { done(); state.textContent = "Stopped."; });
    progress.hidden = false;
    progress.value = 0;
    by("verdict-stop").hidden = false;
    record.hidden = true;
    state.textContent = "Reading.";
    request.send(form);
  }

  by("verdict-form").addEventListener("submit", (event) => { event.preventDefault(); compare(files.files); });
  files.addEventListener("change", () => { if (files.files.length) compare(files.files); });
  by("verdict-stop").addEventListener("click", () => running?.abort());
  for (const kind of ["dragenter", "dragover"]) {
    drop.addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add("over"); });
  }
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    files.files = event.dataTransfer.files;
    compare(files.files);
  });
}
