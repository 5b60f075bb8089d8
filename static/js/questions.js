// The questions on a handed-over device: every answer is sent as it is given, one at a time, and Next and Back
// leave the page only when the server has said that it holds what stands on it. What can't be sent stays here, and is
// kept on the device, sealed, until it arrives: also when the page is closed before that.
import { answerWithoutConnection, openDevice } from "./draw/sending.js";

const QUIET_MS = 1200;
const RETRY_MS = 5000;
export const WORDS = {
  ready: "Every answer is saved as you give it",
  saving: "Saving …",
  saved: "Saved",
  wrong: "Saved, but for what is marked below",
  offline: "Not saved yet: no connection. Keep this page open. It is tried again by itself.",
  kept: "Kept on this device: no connection. It is sent by itself as soon as there is one.",
  stays: "There is no connection, so this page can't go on yet. What you answered is still here. Tap again in a moment, or tell the staff.",
};

/** `form`: see templates/telling/screen.html. send, wait, drop and go (leave the page) are replaced in tests. */
export function askQuestions(form, { send = fetch, wait = setTimeout, drop = clearTimeout, go = leave, store = keeping(form) } = {}) {
  const state = form.querySelector("[data-saving]");
  const trouble = form.querySelector("[data-trouble]");
  let timer = null;
  let unsaved = false;
  let onItsWay = Promise.resolve();
  let isClosed = false;
  let isPointed = false;

  function say(words, failed = false) {
    state.textContent = words;
    state.classList.toggle("failed", failed);
  }

  function warn(words) {
    trouble.textContent = words;
    trouble.hidden = words === "";
    if (words) trouble.scrollIntoView({ block: "center" });
  }

  function showWrong(wrong) {
    for (const question of form.querySelectorAll("[data-question]")) {
      const error = question.querySelector("[data-error]");
      const words = wrong[question.dataset.question] ?? "";
      if (!error) continue;
      error.textContent = words;
      error.hidden = words === "";
    }
  }

  /** One request at a time, or an older answer could arrive last. Gives {status, said}; throws without a connection. */
  function post(button) {
    const asked = onItsWay.then(async () => {
      // A tap sends twice, for what it changed and to go on: the second has nothing left to say to a closed door.
      if (isClosed) return null;
      const body = new FormData(form);
      body.set("go", button);
      unsaved = false;
      const answer = await send(form.action, {
        method: "POST", body, credentials: "same-origin",
        headers: { Accept: "application/json", "X-CSRFToken": body.get("csrfmiddlewaretoken") },
      });
      const said = await answer.json().catch(() => ({}));
      return { status: answer.status, said };
    });
    onItsWay = asked.catch(() => {});
    return asked;
  }

  async function save(button) {
    if (isClosed) return null;
    if (timer) drop(timer);
    timer = null;
    say(WORDS.saving);
    let answer;
    try {
      answer = await post(button);
      if (answer === null) return null;
      if (answer.status >= 500 || !("saved" in answer.said || "error" in answer.said)) throw new Error("not saved");
    } catch {
      unsaved = true;
      say(WORDS.offline, true);
      timer = wait(() => save("stay"), RETRY_MS);
      if (await store.keep(new FormData(form)) && unsaved && timer) say(WORDS.kept, true);
      return null;
    }
    const next = tell(answer);
    // What came too late for this page waits for the staff who take the device back.
    await ("error" in answer.said ? store.keep(new FormData(form)) : store.drop());
    return next;
  }

  function tell({ said }) {
    if (said.error) {
      isClosed = true;
      unsaved = false;
      say("Not saved", true);
      warn(said.error);
      return null;
    }
    warn("");
    showWrong(said.wrong);
    const isRight = Object.keys(said.wrong).length === 0;
    if (!unsaved) say(isRight ? WORDS.saved : WORDS.wrong, !isRight);
    return isRight ? said.next : null;
  }

  /** "Saved" must not stand there while something typed is not. */
  function soon(ms) {
    unsaved = true;
    if (!isClosed) say(WORDS.saving);
    if (timer) drop(timer);
    timer = wait(() => save("stay"), ms);
  }

  function offerTakingBack() {
    for (const button of form.querySelectorAll("[data-clear]")) {
      button.hidden = !button.closest("fieldset").querySelector(":checked");
    }
  }

  form.addEventListener("input", (event) => { if (event.target.matches("[type=text], textarea")) soon(QUIET_MS); });
  form.addEventListener("change", () => { offerTakingBack(); soon(0); });
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-clear]");
    if (!button) return;
    const fieldset = button.closest("fieldset");
    const chosen = fieldset.querySelector(":checked");
    if (chosen) chosen.checked = false;
    fieldset.querySelector("input").focus();
    offerTakingBack();
    soon(0);
  });
  // A tap on the only answer there is to give takes you on; keys do not, for arrows choose as they move.
  form.addEventListener("pointerdown", (event) => { isPointed = event.target.closest(".chip-pick") !== null; });
  form.addEventListener("keydown", () => { isPointed = false; });
  form.addEventListener("click", (event) => {
    const chip = event.target;
    if (!isPointed || !("goesOn" in form.dataset) || !chip.matches("input[type=radio]")) return;
    isPointed = false;
    if ("opens" in chip.dataset || chip.closest(".follow")) return;
    leaveBy("next");
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    leaveBy(event.submitter?.value ?? "next");
  });

  async function leaveBy(button) {
    const next = await save(button);
    if (next) return go(next);
    if (unsaved) return warn(WORDS.stays);
    form.querySelector("[data-error]:not([hidden])")?.scrollIntoView({ block: "center" });
  }

  addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
  say(form.dataset.goesOn ?? WORDS.ready);
  offerTakingBack();
}

/** Where one screen waits on the device while it can't be sent, and what earlier screens left there is sent first. */
function keeping(form) {
  const told = form.dataset.device ? JSON.parse(form.dataset.device) : null;
  if (!told) return { keep: async () => false, drop: async () => {} };
  const screen = form.dataset.questions;
  // Stands in clear on the device, so it says nothing of the question.
  const id = `told-${globalThis.crypto?.randomUUID?.() ?? Date.now()}`;
  const opened = openDevice({ device: told });
  opened.then(async ({ keep, left }) => {
    if (!keep || left.length === 0 || !(await sendLeft(told.late_url, keep, left, form))) return;
    // What was answered on this very screen before is on the server now: it is shown from there.
    if (left.some((event) => event.screen === screen)) window.location.reload();
  }).catch(() => {});
  let isKept = false;
  return {
    async keep(body) {
      const { keep } = await opened;
      if (!keep) return false;
      const fields = [...body.entries()].filter(([name]) => !["csrfmiddlewaretoken", "go"].includes(name));
      isKept = true;
      return keep.put({ id, seq: Date.now(), type: "told", screen, fields }).then(() => true, () => false);
    },
    async drop() {
      const { keep } = await opened;
      if (keep && isKept) await keep.remove([id]).catch(() => {});
      isKept = false;
    },
  };
}

async function sendLeft(url, keep, left, form) {
  const answer = await fetch(url, {
    method: "POST", credentials: "same-origin", redirect: "manual", body: JSON.stringify({ events: left, waiting: left.length }),
    headers: { "Content-Type": "application/json", Accept: "application/json", "X-CSRFToken": new FormData(form).get("csrfmiddlewaretoken") },
  });
  if (!answer.ok) return false;
  const { saved, refused } = await answer.json();
  await keep.remove([...saved, ...refused.map(({ id }) => id)]);
  return true;
}

function leave(address) {
  window.location.assign(address);
}

const form = globalThis.document?.querySelector("form[data-questions]");
if (form) {
  askQuestions(form);
  answerWithoutConnection();
}
