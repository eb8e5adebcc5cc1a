// Who answers: the program on this machine, over HTTP. The lab in one file has another file in this place.

/** This many times a question is repeated where the program was too busy for it. */
const AGAIN = 4;
const BUSY = [408, 503];

/** The status and the answer to a question; without a request to what needs none. */
export async function question(what, request) {
  const options = request === undefined ? {} : {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(request),
  };
  for (let turn = 1; ; turn++) {
    const response = await fetch(`ask/${what}`, options).catch(() => null);
    if (!response) throw new Error("The program does not answer; is squitterlab page still running?");
    if (turn > AGAIN || !BUSY.includes(response.status)) {
      return { status: response.status, answer: await response.json().catch(() => null) };
    }
    await new Promise((done) => { setTimeout(done, 300 * turn); });
  }
}

/** The same for files, which go up as a stream. */
export function upload(what, request, files, progress, signal) {
  const form = new FormData();
  for (const [name, value] of Object.entries(request)) {
    // As a file, since a form changes the line ends of its texts.
    for (const each of Array.isArray(value) ? value : [value]) form.append(name, new Blob([each]));
  }
  for (const file of files) form.append("capture", file, file.name);
  return new Promise((done, failed) => {
    const sending = new XMLHttpRequest();
    sending.open("POST", `ask/${what}`);
    sending.responseType = "json";
    sending.upload.addEventListener("progress", (event) => progress?.(event.loaded, event.total));
    sending.addEventListener("load", () => done({ status: sending.status, answer: sending.response }));
    sending.addEventListener("error", () => failed(new Error("The upload stopped; is squitterlab page still running?")));
    sending.addEventListener("abort", () => failed(new DOMException("Stopped.", "AbortError")));
    signal?.addEventListener("abort", () => sending.abort());
    sending.send(form);
  });
}
