// Questions to the program on this machine, and small pieces of the page.

export const by = (id) => document.getElementById(id);

/** Asks, and gives the answer; a refusal comes as an Error with the program's words. */
export async function ask(what, request) {
  const options = request === undefined ? {} : {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(request),
  };
  let response;
  try {
    response = await fetch(`ask/${what}`, options);
  } catch {
    throw new Error("the program does not answer; is squitterlab page still running?");
  }
  const answer = await response.json();
  if (!response.ok) throw new Error(answer.error);
  return answer;
}

/** Shows why something could not be done, or runs it; later answers overtake earlier ones. */
export function latest(trouble) {
  let turn = 0;
  return async (question, show) => {
    const mine = ++turn;
    try {
      const answer = await question();
      if (mine !== turn) return;
      trouble.textContent = "";
      show(answer);
    } catch (error) {
      if (mine === turn) trouble.textContent = error.message;
    }
  };
}

/** Markup that the program drew; it escapes everything that it did not write itself. */
export function draw(into, answer) {
  into.innerHTML = answer.html;
}

/** An element with attributes and children; text is text. */
export function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

/** Runs something once the typing pauses. */
export function after(pause, run) {
  let timer;
  return () => { clearTimeout(timer); timer = setTimeout(run, pause); };
}

/** Hands a text to the person as a file. */
export function save(name, text, type) {
  const link = element("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
