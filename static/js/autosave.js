// Keeps a half-typed form on the server: 1.2 s after the last key, at once on leaving a field.
//   <form data-draft="story:ID" data-draft-url="/drafts/keep/"> ... <p class="saving" data-draft-state role="status">
// data-draft-without="file": fields that are sent once, with the form.
// "Saved" is shown only after the server has said so. When the session is over, the form is not sent into
// nothing: signing in again in another window is enough, the words stay where they are.

const QUIET_MS = 1200;
const RETRY_MS = 5000;
// Saving waits this long for a draft that is on its way: arriving after the form, it would come back as new.
const PATIENCE_MS = 3000;
const SIGN_IN = "/sign-in/";

/** The token that a freshly fetched page carries, "" when the server sends to the sign-in instead. */
export async function freshToken(send, address) {
  const answer = await send(address);
  if (!answer.ok || answer.redirected) return "";
  return /name="csrfmiddlewaretoken" value="([^"]+)"/.exec(await answer.text())?.[1] ?? "";
}

export function keepDrafts(form, { send = fetch, wait = setTimeout, drop = clearTimeout } = {}) {
  const state = form.querySelector("[data-draft-state]");
  let timer = null;
  let unsaved = false;
  let signedOut = false;
  let onItsWay = null;
  let isSent = false;

  const say = (text, failed = false) => {
    if (!state) return;
    state.textContent = text;
    state.classList.toggle("failed", failed);
  };

  function saySignedOut() {
    say("You are signed out, so this is not kept yet. Keep this page open. ", true);
    const link = Object.assign(document.createElement("a"), {
      href: SIGN_IN, target: "_blank", textContent: "Sign in in a new window", rel: "noopener",
    });
    state?.append(link, ", then come back here.");
  }

  /** True when there is a session again, with its token in the form. */
  async function renewed() {
    const token = await freshToken(send, location.href);
    if (token) form.querySelector("[name=csrfmiddlewaretoken]").value = token;
    return token !== "";
  }

  async function post() {
    const body = new FormData(form);
    for (const name of (form.dataset.draftWithout ?? "").split(" ").filter(Boolean)) body.delete(name);
    body.set("draft_key", form.dataset.draft);
    return send(form.dataset.draftUrl, {
      method: "POST", body, headers: { "X-CSRFToken": body.get("csrfmiddlewaretoken") },
    });
  }

  /** One draft at a time, or an older one could arrive last. */
  function keep() {
    timer = null;
    if (onItsWay) return soon(QUIET_MS);
    onItsWay = keepOnce().finally(() => { onItsWay = null; });
  }

  async function keepOnce() {
    if (!signedOut) say("Keeping what you typed …");
    unsaved = false;
    try {
      let answer = await post();
      if (answer.redirected || answer.status === 403) {
        signedOut = !(await renewed());
        if (!signedOut) answer = await post();
      }
      const told = answer.ok ? await answer.json() : {};
      if (told.kept !== form.dataset.draft) throw new Error("not acknowledged");
      if (!unsaved) say(`Draft kept at ${told.at}. Not in the record until you save.`);
    } catch {
      unsaved = true;
      if (signedOut) saySignedOut();
      else say("Not kept yet: no connection. Keep this page open.", true);
      timer = wait(keep, RETRY_MS);
    }
  }

  const soon = (ms) => {
    unsaved = true;
    if (timer) drop(timer);
    timer = wait(keep, ms);
  };

  form.addEventListener("input", () => soon(QUIET_MS));
  form.addEventListener("change", () => soon(0));
  form.addEventListener("submit", (event) => {
    if (signedOut) {
      event.preventDefault();
      state?.scrollIntoView({ block: "center" });
      return;
    }
    unsaved = false;
    if (timer) drop(timer);
    if (onItsWay) sendAfter(event);
  });

  function sendAfter(event) {
    event.preventDefault();
    if (isSent) return;
    isSent = true;
    const patience = new Promise((done) => wait(done, PATIENCE_MS));
    Promise.race([onItsWay, patience]).then(() => {
      onItsWay = null;
      isSent = false;
      form.requestSubmit(event.submitter);
    });
  }

  addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
}
