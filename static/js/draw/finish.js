/**
 * Done: ask once when nothing is drawn, wait until everything is stored, then go on.
 * Nothing is forced: the whole drawing may stay undone, and how strong it is, is asked on the next page.
 */

/** go(hasDrawn): leave the page. outbox.waiting() -> events not stored yet. isEmpty() -> nothing drawn or answered. */
export function createFinish(controls, { isEmpty, outbox, go }) {
  const { find, all } = controls;
  const dialogs = { empty: find("ask-empty"), wait: find("ask-wait") };
  let leaving = false;

  for (const button of all("back")) button.addEventListener("click", stay);
  for (const dialog of Object.values(dialogs)) dialog.addEventListener("cancel", () => { leaving = false; });
  for (const button of all("finish")) button.addEventListener("click", leave);

  function stay() {
    leaving = false;
    for (const dialog of Object.values(dialogs)) dialog.close();
  }

  function ask() {
    if (isEmpty()) return dialogs.empty.showModal();
    leave();
  }

  function leave() {
    stay();
    leaving = true;
    if (outbox.waiting() === 0) return go();
    dialogs.wait.showModal();
    outbox.retry();
  }

  return {
    ask,
    /** Told whenever something has been stored. */
    stored() {
      if (leaving && outbox.waiting() === 0) go();
    },
    isLeaving: () => leaving,
  };
}
