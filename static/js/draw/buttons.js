/** What each button of the templates does: [data-<name>] on the button, the action here. */

export function connectButtons(controls, { record, viewport, outbox, finish, pen, list, preferences, places }) {
  function press(name, action) {
    for (const button of controls.all(name)) button.addEventListener("click", () => action(button));
  }

  press("undo", () => { controls.say(""); record.undo(); });
  press("redo", () => { controls.say(""); record.redo(); });
  press("clear", () => record.clear() && controls.say("cleared"));
  press("closer-button", viewport.closer);
  press("farther", viewport.farther);
  press("whole", viewport.whole);
  press("turn", (button) => viewport.turnTo(button.dataset.turn));
  press("step", (button) => viewport.step(button.dataset.step));
  press("place", (button) => viewport.showPlace(places.find(({ id }) => id === button.dataset.place)));
  press("open-list", list.open);
  press("retry", outbox.retry);
  press("done", finish.ask);
  press("refused-seen", () => { controls.find("refused").hidden = true; });
  press("prefers", (button) => {
    preferences.turn(button.dataset.prefers);
    controls.showPreferences();
  });
  press("finger", () => {
    pen.leavePenMode();
    controls.find("pen-mode").toggleAttribute("data-off", true);
    controls.say("finger");
  });
  connectNoPain(press, controls, record);
}

/** "No pain today" does not stand beside a drawing: it asks before it clears one. */
function connectNoPain(press, controls, record) {
  press("no-pain", () => {
    if (!record.setNoPain(!record.hasNoPain())) controls.find("ask-no-pain").showModal();
  });
  press("clear-no-pain", () => {
    controls.find("ask-no-pain").close();
    record.clear();
    if (!record.setNoPain(true)) controls.say("others");
  });
  press("keep-drawing", () => controls.find("ask-no-pain").close());
}
