// The story by tapping: a question that hangs on another answer shows when that is given, and each section
// counts what is answered. Without this module every question shows.
//   <fieldset data-only-if='{"item": "who_answers", "is": ["parent"]}'>   see bodymaps/reasoning/conditions.py

/** Whether a condition on answers holds; `chosen(key)` lists what is chosen. True for what it can't read. */
export function holds(condition, chosen) {
  if (condition.all) return condition.all.every((part) => holds(part, chosen));
  if (condition.any) return condition.any.some((part) => holds(part, chosen));
  if (condition.none) return !condition.none.some((part) => holds(part, chosen));
  if (typeof condition.item !== "string" || !condition.is) return true;
  return chosen(condition.item).some((answer) => condition.is.includes(answer));
}

export const chosenIn = (form) => (key) =>
  new FormData(form).getAll(`told_${key}`).filter((answer) => answer.trim() !== "");

/** [answered, asked] of one section; what is hidden is not asked. */
export function counted(section) {
  const asked = [...section.querySelectorAll(".told")].filter((each) => !each.hidden);
  const isAnswered = (each) =>
    [...each.querySelectorAll("input, textarea")].some((one) =>
      one.matches("[type=radio], [type=checkbox]") ? one.checked && one.value : one.value.trim());
  return [asked.filter(isAnswered).length, asked.length];
}

function show(form) {
  const chosen = chosenIn(form);
  for (const each of form.querySelectorAll("[data-only-if]")) {
    each.hidden = !holds(JSON.parse(each.dataset.onlyIf), chosen) && !each.classList.contains("wrong");
  }
  for (const place of form.querySelectorAll("[data-count-of]")) {
    const [answered, asked] = counted(form.querySelector(`[data-group="${place.dataset.countOf}"]`));
    place.textContent = `${answered} of ${asked}`;
  }
}

if (typeof document !== "undefined") {
  for (const form of document.querySelectorAll("form[data-story]")) {
    form.addEventListener("input", () => show(form));
    form.addEventListener("change", () => show(form));
    show(form);
  }
}
