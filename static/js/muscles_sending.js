// Forms that are saved as they change: one request at a time, each form as it stands when its turn comes. What can't be
// sent stays in its form and is tried again.

export const RETRY_MS = 5000;
export const WORDS = {
  saving: "Saving …",
  saved: "Saved",
  wrong: "Saved, but for what is marked below",
  clash: "Not saved: somebody else saved this muscle meanwhile",
  refused: "Not saved. Load this page anew",
  signedOut: "You are signed out, so this is not saved yet. Keep this page open and sign in in another window",
  stays: "There is no connection, so this can't be done yet. Tap again in a moment.",
};

/** "2 muscles are not saved yet: no connection …" */
export function waitingWords(count) {
  return `${count === 1 ? "1 muscle is" : `${count} muscles are`} not saved yet: no connection. Tried again by itself`;
}

/**
 * Sends forms one at a time, each as it stands when its turn comes. `send(form)` gives {status, said} or throws
 * without a connection; `tell(form, status, said)` gives "saved", "stays" (it waits for somebody to decide) or "again".
 */
export function createSender({ send, tell, say, wait = setTimeout, drop = clearTimeout }) {
  const waiting = new Set();
  let onItsWay = null;
  let timer = null;

  async function run() {
    timer = null;
    while (waiting.size) {
      const [form] = waiting;
      waiting.delete(form);
      say(WORDS.saving);
      let answer;
      try {
        answer = await send(form);
      } catch (problem) {
        waiting.add(form);
        say(problem.words ?? waitingWords(waiting.size), true);
        timer = wait(go, RETRY_MS);
        return false;
      }
      if (tell(form, answer.status, answer.said) === "again") waiting.add(form);
    }
    return true;
  }

  function go() {
    onItsWay ??= run().finally(() => { onItsWay = null; });
    return onItsWay;
  }

  function soon(ms) {
    if (timer) drop(timer);
    timer = wait(go, ms);
  }

  return {
    changed(form, ms = 0) { waiting.add(form); soon(ms); },
    /** True when everything is saved. */
    async flush() {
      if (timer) drop(timer);
      if (onItsWay && !(await onItsWay)) return false;
      return waiting.size === 0 || go();
    },
    get count() { return waiting.size; },
    get isBusy() { return waiting.size > 0 || onItsWay !== null; },
  };
}
