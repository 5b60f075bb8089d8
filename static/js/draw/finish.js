/**
 * Done: ask what is still open, wait until everything is stored, then go on.
 * Nothing is forced: how strong it is may stay unanswered, and so may the whole drawing.
 */

/** go(): leave the page. waiting() -> events not stored yet. */
export function createFinish(controls, { record, outbox, go }) {
  const { find, all, addStrength } = controls;
  const dialogs = { strengths: find("ask-strengths"), empty: find("ask-empty"), wait: find("ask-wait") };
  let leaving = false;

  for (const button of all("back")) button.addEventListener("click", stay);
  for (const dialog of Object.values(dialogs)) dialog.addEventListener("cancel", () => { leaving = false; });
  for (const button of all("finish")) button.addEventListener("click", leave);

  function stay() {
    leaving = false;
    for (const dialog of Object.values(dialogs)) dialog.close();
  }

  function ask() {
    if (record.kindsUsed().length === 0 && !record.hasNoPain()) return dialogs.empty.showModal();
    if (record.kindsUsed().some((kind) => record.strengthOf(kind) === undefined)) return askStrengths();
    leave();
  }

  function askStrengths() {
    const host = find("all-strengths");
    host.replaceChildren();
    for (const kind of record.kindsUsed()) addStrength(host, kind, "all");
    dialogs.strengths.showModal();
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
