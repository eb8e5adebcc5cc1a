// Drafts: what was typed is kept in this browser, each tab by itself, so that nothing is lost and no tab disturbs another.

const MOST = 5;
const OWN = "squitterlab-tab";
const DRAFT = "squitterlab-draft-";
/** What was read off a test set is kept beside the profile. */
export const READINGS = "squitterlab-readings-";

function quietly(run, otherwise = null) {
  try { return run(); } catch { return otherwise; }
}

/** Whether this tab has an id for itself: one that was duplicated brings that of the first with it. */
function alone(id) {
  if (!navigator.locks) return true;
  return new Promise((done) => {
    navigator.locks.request(OWN + id, { ifAvailable: true }, (lock) => {
      done(lock !== null);
      return lock ? new Promise(() => {}) : undefined;
    }).catch(() => done(true));
  });
}

const tab = await (async () => {
  const known = quietly(() => sessionStorage.getItem(OWN));
  if (known && await alone(known)) return known;
  const made = `${Date.now()}-${Math.floor(Math.random() * 1e9)}`;
  await alone(made);
  quietly(() => sessionStorage.setItem(OWN, made));
  return made;
})();

/** Keeps a draft of this tab; false where the browser keeps nothing. */
export function keep(draft, kind = DRAFT) {
  return quietly(() => {
    localStorage.setItem(kind + tab, JSON.stringify({ ...draft, kept: Date.now() }));
    for (const old of all(kind).slice(MOST)) localStorage.removeItem(old.key);
    return true;
  }, false);
}

function all(kind = DRAFT) {
  return quietly(() => Object.keys(localStorage).filter((key) => key.startsWith(kind)).map((key) => {
    const draft = quietly(() => JSON.parse(localStorage.getItem(key)));
    return draft && typeof draft.text === "string" ? { ...draft, key } : null;
  }).filter(Boolean).sort((a, b) => b.kept - a.kept), []);
}

/** The draft of this very tab, as after a reload. */
export const own = (kind = DRAFT) => all(kind).find((draft) => draft.key === kind + tab) ?? null;

/** Drafts of other tabs and of earlier days, the newest first. */
export const others = () => all().filter((draft) => draft.key !== DRAFT + tab);

/** A time as people say it. */
export function when(kept) {
  const time = new Date(kept);
  const clock = time.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  return time.toDateString() === new Date().toDateString() ? clock : `${time.toLocaleDateString("en-GB")} ${clock}`;
}
