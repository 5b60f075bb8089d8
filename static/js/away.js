/**
 * Says two minutes before a session ends by itself that it will, and takes the page away when it has.
 *   <dialog data-away data-left="900" data-at-all="43200" data-who="7" data-left-url data-stay-url data-sign-in>
 * The server's clock decides; here it is only counted down, and asked again before anything is said. Keys and taps are a
 * sign of life, told to the server once a minute at most. What was typed and is kept nowhere is never left behind: then
 * the page stays, covered, until the same person has signed in again in another window.
 */
import { freshToken } from "./autosave.js";

export const WARN_S = 120;
const TOLD_EACH_MS = 60_000;
const ASKED_EACH_MS = 10_000;
const LOOK_MS = 1000;

/** "2 minutes", "45 seconds", "1 second" */
export function inWords(seconds) {
  const [count, unit] = seconds > 60 ? [Math.ceil(seconds / 60), "minute"] : [seconds, "second"];
  return `${count} ${unit}${count === 1 ? "" : "s"}`;
}

/** What the answer to "how long still?" says: null without a connection, {left: 0} when there is no session. */
export async function readLeft(answer) {
  if (!answer || answer.status >= 500) return null;
  const isJson = (answer.headers?.get("Content-Type") ?? "").includes("application/json");
  if (!answer.ok || !isJson) return { left: 0 };
  const said = await answer.json().catch(() => ({}));
  return typeof said.left === "number" ? said : { left: 0 };
}

/** Whether something typed here is kept nowhere yet. A form with a draft says by itself when it is not. */
export function holdsWords(forms) {
  return [...forms].some((form) => {
    if (form.dataset.draft) return form.querySelector("[data-draft-state].failed") !== null;
    return [...form.elements].some(isChanged);
  });
}

function isChanged(field) {
  if (["hidden", "submit", "button"].includes(field.type) || field.closest?.("[role=search]")) return false;
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  if (field.options) return isChosenAnew([...field.options]);
  return field.value !== undefined && field.value !== field.defaultValue;
}

/** A list that chose nothing shows its first line. */
function isChosenAnew(options) {
  const chosen = options.some((each) => each.defaultSelected);
  return options.some((each, place) => each.selected !== (chosen ? each.defaultSelected : place === 0));
}

/**
 * The clock of one page. `ask(url, isPost)` -> Promise of what readLeft gives; `now()` in ms; `show(state, seconds)` draws
 * "" (nothing), "warn", "last" (twelve hours are nearly over) or "over"; `leave()` goes to the sign-in or covers the page.
 */
export function createClock({ left, atAll, ask, now, show, leave }) {
  const start = now();
  let ends = start + left * 1000;
  let endsAtAll = start + atAll * 1000;
  let told = start;
  let lived = 0;
  let busy = false;
  let isOver = false;
  let accepted = false;
  let asked = -Infinity;

  const seconds = () => Math.max(0, Math.ceil((ends - now()) / 1000));
  const isLast = () => endsAtAll - ends < 1000;

  function take(said) {
    if (said === null) return;
    if (said.left <= 0) return end();
    ends = now() + said.left * 1000;
    endsAtAll = now() + said.at_all * 1000;
  }

  function end() {
    isOver = true;
    show("over", 0);
    leave();
  }

  async function once(isPost) {
    if (busy) return;
    busy = true;
    try {
      take(await ask(isPost));
    } finally {
      busy = false;
    }
  }

  async function stay() {
    told = now();
    lived = 0;
    accepted = isLast();
    await once(true);
    if (!isOver) show("", 0);
  }

  return {
    stay,
    /** A key or a tap. */
    life() {
      if (isOver || now() >= ends) return;
      lived = now();
      if (now() - told >= TOLD_EACH_MS && seconds() > WARN_S) stay();
    },
    /** Called each second, and when the page is looked at again. */
    async look() {
      if (isOver) return;
      if (lived > told && now() - told >= TOLD_EACH_MS && seconds() > 0 && !isLast()) return stay();
      if (seconds() > WARN_S) return;
      // Another window may have been busy meanwhile.
      if (now() - asked >= ASKED_EACH_MS || seconds() === 0) {
        asked = now();
        await once(false);
      }
      if (isOver) return;
      if (seconds() === 0) return end();
      if (seconds() > WARN_S) return show("", 0);
      if (isLast()) return show(accepted ? "" : "last", seconds());
      show("warn", seconds());
    },
    end,
    get isOver() { return isOver; },
  };
}

function begin(dialog) {
  const { leftUrl, stayUrl, signIn, who } = dialog.dataset;
  const words = (name) => dialog.querySelector(`[data-say="${name}"]`);
  const here = () => `${location.pathname}${location.search}`;
  const token = () => JSON.parse(document.body.getAttribute("hx-headers") ?? "{}");

  function show(state, seconds) {
    for (const each of dialog.querySelectorAll("[data-say]")) each.hidden = each.dataset.say !== state;
    dialog.classList.toggle("over", state === "over");
    const count = words(state)?.querySelector("[data-count]");
    if (count) count.textContent = inWords(seconds);
    if (state === "" && dialog.open) dialog.close();
    if (state !== "" && !dialog.open) dialog.showModal();
  }

  async function ask(isPost) {
    const how = { credentials: "same-origin", redirect: "manual", headers: { Accept: "application/json", ...(isPost ? token() : {}) } };
    const answer = await fetch(isPost ? stayUrl : leftUrl, { ...how, method: isPost ? "POST" : "GET" }).catch(() => null);
    const said = await readLeft(answer);
    return said && said.left > 0 && String(said.who) !== who ? { left: 0 } : said;
  }

  function leave() {
    dialog.querySelector("[data-again]").href = `${signIn}?next=${encodeURIComponent(here())}`;
    if (!holdsWords(document.querySelectorAll("form"))) return location.assign(`${signIn}?ended=quiet&next=${encodeURIComponent(here())}`);
    words("over").hidden = false;
    addEventListener("focus", uncover);
    document.addEventListener("visibilitychange", uncover);
  }

  /** The same person signed in again in another window: the page goes on with the token of that session. */
  async function uncover() {
    const said = await ask(false);
    if (!said || said.left <= 0) return;
    const fresh = await freshToken(fetch, location.href);
    if (!fresh) return;
    for (const each of document.querySelectorAll("[name=csrfmiddlewaretoken]")) each.value = fresh;
    document.body.setAttribute("hx-headers", JSON.stringify({ "X-CSRFToken": fresh }));
    removeEventListener("focus", uncover);
    document.removeEventListener("visibilitychange", uncover);
    show("", 0);
    run(said.left, said.at_all);
  }

  function run(left, atAll) {
    const clock = createClock({ left, atAll, ask, now: Date.now, show, leave });
    const timer = setInterval(() => (clock.isOver ? clearInterval(timer) : clock.look()), LOOK_MS);
    current = clock;
  }

  let current = null;
  for (const sign of ["keydown", "pointerdown", "input"]) addEventListener(sign, () => !dialog.open && current.life(), { capture: true, passive: true });
  document.addEventListener("visibilitychange", () => !document.hidden && current.look());
  // A piece of the page was asked for without a session: with words here that are kept nowhere, the page stays.
  document.addEventListener("htmx:beforeOnLoad", (event) => {
    const leadsTo = event.detail.xhr.getResponseHeader("HX-Redirect") ?? "";
    if (!leadsTo.startsWith(signIn) || !holdsWords(document.querySelectorAll("form"))) return;
    event.preventDefault();
    if (!current.isOver) current.end();
  });
  dialog.addEventListener("cancel", (event) => event.preventDefault());
  dialog.addEventListener("keydown", (event) => {
    if (current.isOver || event.key === "Tab" || event.key === "Shift") return;
    event.preventDefault();
    current.stay();
  });
  dialog.querySelectorAll("[data-stay]").forEach((each) => each.addEventListener("click", () => current.stay()));
  run(Number(dialog.dataset.left), Number(dialog.dataset.atAll));
}

const dialog = globalThis.document?.querySelector("[data-away]");
if (dialog) begin(dialog);
