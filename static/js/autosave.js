// Keeps a half-typed form on the server: 1.2 s after the last key, at once on leaving a field.
//   <form data-draft="story:ID" data-draft-url="/drafts/keep/"> ... <p class="saving" data-draft-state role="status">
// "Saved" is shown only after the server has said so.

const QUIET_MS = 1200;
const RETRY_MS = 5000;

export function keepDrafts(form, { send = fetch, wait = setTimeout, drop = clearTimeout } = {}) {
  const state = form.querySelector("[data-draft-state]");
  let timer = null;
  let unsaved = false;

  const say = (text, failed = false) => {
    if (!state) return;
    state.textContent = text;
    state.classList.toggle("failed", failed);
  };

  async function keep() {
    timer = null;
    const body = new FormData(form);
    body.set("draft_key", form.dataset.draft);
    say("Keeping what you typed …");
    unsaved = false;
    try {
      const answer = await send(form.dataset.draftUrl, {
        method: "POST", body, headers: { "X-CSRFToken": body.get("csrfmiddlewaretoken") },
      });
      const told = answer.ok ? await answer.json() : {};
      if (told.kept !== form.dataset.draft) throw new Error("not acknowledged");
      if (!unsaved) say(`Draft kept at ${told.at}. Not in the record until you save.`);
    } catch {
      unsaved = true;
      say("Not kept yet: no connection or signed out. Keep this page open.", true);
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
  form.addEventListener("submit", () => { unsaved = false; if (timer) drop(timer); });
  addEventListener("beforeunload", (event) => { if (unsaved) event.preventDefault(); });
}
