// Asks the library: question in, answer out. WebAssembly is all that it needs, in a browser as well as in Node.

/** Begins the library. What fails it begins it anew: it may be left half way in something. */
export async function library(octets) {
  const module = await WebAssembly.compile(octets);
  let { exports } = await WebAssembly.instantiate(module);

  /** The status and the answer, as the program gives them over HTTP; `now` is in milliseconds. */
  return async (what, request, now = Date.now()) => {
    const [name, question] = [what, JSON.stringify(request ?? {})].map((text) => new TextEncoder().encode(text));
    try {
      const place = exports.room(name.length + question.length);
      const room = new Uint8Array(exports.memory.buffer, place, name.length + question.length);
      room.set(name);
      room.set(question, name.length);
      const given = exports.answer(name.length, now / 1000);
      const length = new DataView(exports.memory.buffer).getUint32(given, true);
      return JSON.parse(new TextDecoder().decode(new Uint8Array(exports.memory.buffer, given + 4, length)));
    } catch (error) {
      ({ exports } = await WebAssembly.instantiate(module));
      return { status: 500, answer: { error: `The library failed on this question (${error.message}); please report it.` } };
    }
  };
}
