// Signing in a box by finger, pen or mouse. Strokes are kept as lists of [x, y] in a box of 600 x 200,
// whatever the size on the screen, and go into the hidden field of the form.

const INK = "#20262b";
const WIDTH = 4;

export function toBox(event, rect, box) {
  const x = ((event.clientX - rect.left) / rect.width) * box.width;
  const y = ((event.clientY - rect.top) / rect.height) * box.height;
  return [round(within(x, box.width)), round(within(y, box.height))];
}

const within = (value, most) => Math.min(Math.max(value, 0), most);
const round = (value) => Math.round(value * 10) / 10;

export function parse(text) {
  try {
    const strokes = JSON.parse(text);
    return Array.isArray(strokes) ? strokes : [];
  } catch {
    return [];
  }
}

// Local time with its offset: 2026-11-25T14:03:07+01:00
export function deviceTime(now = new Date()) {
  const two = (value) => String(Math.abs(value)).padStart(2, "0");
  const minutes = -now.getTimezoneOffset();
  const local = new Date(now.getTime() + minutes * 60000).toISOString().slice(0, 19);
  return `${local}${minutes < 0 ? "-" : "+"}${two(Math.trunc(minutes / 60))}:${two(minutes % 60)}`;
}

export function signIn(form) {
  const canvas = form.querySelector("[data-box]");
  const field = form.querySelector("[name=ink]");
  const box = { width: canvas.width, height: canvas.height };
  const pen = canvas.getContext("2d");
  let strokes = parse(field.value);
  let current = null;

  function paint() {
    pen.clearRect(0, 0, box.width, box.height);
    Object.assign(pen, { strokeStyle: INK, lineWidth: WIDTH, lineCap: "round", lineJoin: "round" });
    for (const stroke of strokes) {
      pen.beginPath();
      pen.moveTo(...stroke[0]);
      for (const point of stroke) pen.lineTo(...point);
      pen.stroke();
    }
  }

  function keep() {
    field.value = JSON.stringify(strokes);
  }

  canvas.addEventListener("pointerdown", (event) => {
    if (current || event.button !== 0) return;
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    current = { pointer: event.pointerId, stroke: [toBox(event, canvas.getBoundingClientRect(), box)] };
    strokes.push(current.stroke);
    paint();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (current?.pointer !== event.pointerId) return;
    const rect = canvas.getBoundingClientRect();
    const samples = event.getCoalescedEvents?.() ?? [];
    for (const sample of samples.length ? samples : [event]) current.stroke.push(toBox(sample, rect, box));
    paint();
  });
  const end = (event) => {
    if (current?.pointer !== event.pointerId) return;
    current = null;
    keep();
  };
  canvas.addEventListener("pointerup", end);
  canvas.addEventListener("pointercancel", end);
  form.querySelector("[data-clear]").addEventListener("click", () => {
    strokes = [];
    keep();
    paint();
  });
  form.addEventListener("submit", () => {
    form.querySelector("[name=device_time]").value = deviceTime();
  });
  paint();
}

if (typeof document !== "undefined") {
  for (const form of document.querySelectorAll("form[data-sign]")) signIn(form);
}
