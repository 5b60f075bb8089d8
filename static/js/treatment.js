// Treatment: one form is open at a time; numbers are stepped with a thumb; needles that differ are said at once.
// Without this script every technique is a link, every number is typed, and the server says what differs.
import { keepDrafts } from "./autosave.js";

/** The number after a step: an empty field begins at its least; never past an end. */
export function stepped(text, by, least, most) {
  const now = Number.parseInt(text, 10);
  if (Number.isNaN(now)) return by > 0 ? Math.max(least, Math.min(by, most)) : least;
  return Math.min(Math.max(now + by, least), most);
}

/** What is said of the needles: {differ, words}. "" is not counted yet. */
export function saidOfNeedles(into, out) {
  if (into === "" || out === "") return { differ: false, words: 'Leave "out" empty while they are in.' };
  if (Number(into) === Number(out)) return { differ: false, words: `${into} in, ${out} out: as many out as in.` };
  return { differ: true, words: `${into} in, ${out} out. They differ: look for it before the patient leaves.` };
}

function stepButton(input, by) {
  const label = input.closest(".number").querySelector("label").firstChild.textContent.trim();
  const button = Object.assign(document.createElement("button"), {
    type: "button", textContent: by > 0 ? "+" : "\u2212",
  });
  button.setAttribute("aria-label", `${label}: ${by > 0 ? "one more" : "one fewer"}`);
  button.addEventListener("click", () => {
    const { least, most } = input.dataset;
    input.value = stepped(input.value, by, Number(least), Number(most));
    for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, { bubbles: true }));
  });
  return button;
}

/** Hours and minutes as a form takes them: "09:05". */
export function clockOf(now) {
  return [now.getHours(), now.getMinutes()].map((part) => String(part).padStart(2, "0")).join(":");
}

function nowButton(input) {
  const label = input.closest(".time").querySelector("label").firstChild.textContent.trim();
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Now" });
  button.setAttribute("aria-label", `${label}: now`);
  button.addEventListener("click", () => {
    input.value = clockOf(new Date());
    for (const kind of ["input", "change"]) input.dispatchEvent(new Event(kind, { bubbles: true }));
  });
  return button;
}

function watchNeedles(box) {
  const [into, out] = ["count_in", "count_out"].map((name) => box.querySelector(`[name=${name}]`));
  const say = () => {
    const said = saidOfNeedles(into.value.trim(), out.value.trim());
    box.classList.toggle("differ", said.differ);
    const line = box.querySelector("[data-counts-say]");
    if (line.textContent !== said.words) line.textContent = said.words;
  };
  box.addEventListener("input", say);
  say();
}

function equip(entry) {
  for (const input of entry.querySelectorAll("[data-step]")) {
    input.before(stepButton(input, -1));
    input.after(stepButton(input, 1));
  }
  for (const input of entry.querySelectorAll("[data-now]")) input.after(nowButton(input));
  const counts = entry.querySelector("[data-counts]");
  if (counts) watchNeedles(counts);
}

/** Only the place whose form is open is marked, and only its technique. */
function mark(treating) {
  for (const place of treating.querySelectorAll(".place")) {
    const technique = place.querySelector("[name=technique]")?.value;
    place.classList.toggle("now", Boolean(technique));
    for (const chip of place.querySelectorAll(".techniques a")) {
      const here = Boolean(technique) && new URLSearchParams(chip.search).get("technique") === technique;
      chip.classList.toggle("chosen", here);
      chip.toggleAttribute("aria-current", here);
      if (here) chip.setAttribute("aria-current", "true");
    }
  }
}

function opened(treating, slot) {
  for (const other of treating.querySelectorAll(".slot")) if (other !== slot) other.replaceChildren();
  treating.querySelector("[data-changing]")?.remove();
  mark(treating);
  const entry = slot.querySelector("[data-entry]");
  if (!entry) return;
  equip(entry);
  for (const form of entry.querySelectorAll("form[data-draft]")) keepDrafts(form);
  entry.focus({ preventScroll: true });
  entry.closest(".place").scrollIntoView({ block: "start" });
}

/** On a tablet the rail is one row to push aside: this step stands in its middle. */
function showStep() {
  const step = document.querySelector(".steps [aria-current]");
  const row = step?.closest("ol");
  if (!row) return;
  const [inner, outer] = [step.getBoundingClientRect(), row.getBoundingClientRect()];
  row.scrollLeft += inner.left - outer.left - (row.clientWidth - inner.width) / 2;
}

function begin(treating) {
  showStep();
  for (const entry of treating.querySelectorAll("[data-entry]")) equip(entry);
  document.body.addEventListener("htmx:afterSwap", (event) => {
    const slot = event.detail.target;
    if (slot?.classList.contains("slot")) opened(treating, slot);
  });
  treating.addEventListener("click", (event) => {
    const slot = event.target.closest("[data-close]")?.closest(".slot");
    if (!slot) return;
    event.preventDefault();
    const chip = slot.closest(".place").querySelector("[aria-current]");
    slot.replaceChildren();
    mark(treating);
    chip?.focus();
  });
}

const treating = globalThis.document?.querySelector("[data-treating]");
if (treating) begin(treating);
