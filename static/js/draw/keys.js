/** Keys: undo and redo anywhere on the page; looking closer and moving while the stage has the focus. */

export function listenToKeys(root, stage, { viewport, record }) {
  root.ownerDocument.addEventListener("keydown", (event) => {
    if (!event.ctrlKey && !event.metaKey) return;
    const key = event.key.toLowerCase();
    if (key === "z") act(event, event.shiftKey ? record.redo : record.undo);
    if (key === "y") act(event, record.redo);
  });
  const looking = {
    "+": viewport.closer,
    "=": viewport.closer,
    "-": viewport.farther,
    0: viewport.whole,
    ArrowLeft: () => viewport.step("left"),
    ArrowRight: () => viewport.step("right"),
    ArrowUp: () => viewport.step("up"),
    ArrowDown: () => viewport.step("down"),
  };
  stage.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !(event.key in looking)) return;
    act(event, looking[event.key]);
  });
}

function act(event, action) {
  event.preventDefault();
  action();
}
