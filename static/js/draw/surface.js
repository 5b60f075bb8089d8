/** The stage's pointer and wheel events, made plain for pen.js. Coordinates are CSS px from its top left. */

/** What rubs out on a pen: its other end, or the button on its barrel. */
const RUBBER_END = 32;
const BARREL = 2;

/** Feed `pen` from the element's pointer events. */
export function listen(element, pen) {
  let box = element.getBoundingClientRect();
  const plainly = (event) => plain(event, box);
  element.addEventListener("pointerdown", (event) => {
    box = element.getBoundingClientRect();
    capture(element, event);
    pen.down(plainly(event));
  });
  element.addEventListener("pointermove", (event) => pen.move(plainly(event)));
  element.addEventListener("pointerup", (event) => pen.up(plainly(event)));
  element.addEventListener("pointercancel", (event) => pen.cancel(plainly(event)));
  element.addEventListener("lostpointercapture", (event) => pen.cancel(plainly(event)));
  element.addEventListener("contextmenu", (event) => event.preventDefault());
  // Some tablets still select, call out or scroll on touch in spite of touch-action.
  element.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
}

/** on.zoom(at, factor) for a pinched trackpad or Ctrl and wheel; on.pan(dx, dy) for the plain wheel. */
export function listenToWheel(element, on) {
  element.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = element.getBoundingClientRect();
    const at = [event.clientX - box.left, event.clientY - box.top];
    if (event.ctrlKey) on.zoom(at, Math.exp(-event.deltaY / 200));
    else on.pan(-event.deltaX, -event.deltaY);
  }, { passive: false });
}

function capture(element, event) {
  // A pointer that has just gone away cannot be captured; its end still arrives.
  try {
    element.setPointerCapture(event.pointerId);
  } catch {
    return;
  }
}

function plain(event, box) {
  return {
    id: event.pointerId,
    type: event.pointerType === "pen" || event.pointerType === "mouse" ? event.pointerType : "touch",
    button: event.button,
    buttons: event.buttons,
    time: event.timeStamp,
    eraser: event.pointerType === "pen" && (event.buttons & (RUBBER_END | BARREL)) !== 0,
    points: samples(event).map((sample) => ({
      x: sample.clientX - box.left,
      y: sample.clientY - box.top,
      pressure: sample.pressure,
      time: sample.timeStamp,
    })),
  };
}

/** Every sample since the last event; some browsers give none for a pen or a finger. */
function samples(event) {
  const merged = event.type === "pointermove" && event.getCoalescedEvents ? event.getCoalescedEvents() : [];
  return merged.length > 0 ? merged : [event];
}
