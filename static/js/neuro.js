// The pages of the examination: one tap fills what is open and shown, a row says at once where its sides differ,
// and the tests are walked by keyboard as a grid. Which grades are normal is written on the radio buttons by the
// server (data-normal: what one tap fills, data-within: every grade that counts as normal).

export const NOT_TESTED = "NT";

export function difference(right, left, least = null) {
  if (!right || !left || right === NOT_TESTED || left === NOT_TESTED || right === left) return "";
  if (least !== null && !(Math.abs(Number(right) - Number(left)) >= least)) return "";
  return `sides differ: right ${right}, left ${left}`;
}

/** The grade that a key chooses among those of one cell, null for none. */
export function gradeFor(key, grades) {
  if (/^\d$/.test(key)) return grades.find((each) => each.value.startsWith(key)) ?? null;
  const wanted = key.toLowerCase();
  if (wanted === "n") return grades.find((each) => "normal" in each.dataset) ?? null;
  if (wanted === "p") return grades.find((each) => each.value === "positive") ?? null;
  return wanted === "x" ? grades.find((each) => each.value === NOT_TESTED) ?? null : null;
}

/** Chooses the normal grade in every cell that is open. Numbers and tests without a normal grade are none. */
export function fillNormal(cells) {
  for (const cell of cells) {
    const grades = [...cell.querySelectorAll("input[type=radio]")];
    const normal = grades.find((each) => "normal" in each.dataset);
    if (normal && !grades.some((each) => each.checked)) normal.checked = true;
  }
}

export function markUntested(cells, reason) {
  for (const cell of cells) {
    if (valueOf(cell)) continue;
    const box = cell.querySelector(`input[value="${NOT_TESTED}"]`);
    if (!box) continue;
    box.checked = true;
    cell.querySelector(".remark").value = reason;
  }
}

export function valueOf(cell) {
  const typed = [...cell.querySelectorAll(".measured input[type=text]")].map((each) => each.value.trim()).find(Boolean);
  return typed || (cell.querySelector("input:checked")?.value ?? "");
}

/** The cell above or below on the same side; past an end of the section, in the next one that is unfolded. */
export function neighbour(cells, cell, step) {
  const column = cells.filter((each) => each.dataset.side === cell.dataset.side || !each.dataset.side || !cell.dataset.side);
  return column[column.indexOf(cell) + step] ?? null;
}

function isShown(cell) {
  return !cell.closest("details.section:not([open])");
}

function cellsOf(form, what) {
  const [name, side] = what.split(":");
  const within = what === "shown" ? "details[data-one-tap][open]" : `details[data-section="${name}"]`;
  const cells = [...form.querySelectorAll(`${within} .cell`)].filter((cell) => !cell.closest("details.others:not([open])"));
  return cells.filter((cell) => !side || cell.dataset.side === side);
}

/** What a grade means, "" where it is a word itself. */
function meaning(grade) {
  return grade.ariaLabel === grade.value ? "" : grade.ariaLabel.replace(/^[^,]+, /, "");
}

function say(cell) {
  const chosen = cell.querySelector("input:checked");
  const isAbnormal = chosen?.type === "radio" && chosen.value !== NOT_TESTED && !("within" in chosen.dataset);
  cell.querySelector("[data-says]").textContent = chosen?.value === NOT_TESTED ? "not tested" : isAbnormal ? meaning(chosen) : "";
  return isAbnormal;
}

function showSection(section) {
  const cells = [...section.querySelectorAll(".cell")];
  const abnormal = cells.filter(say).length;
  const done = cells.filter((cell) => !["", NOT_TESTED].includes(valueOf(cell))).length;
  section.querySelector("[data-count]").textContent = `${done} of ${cells.length}`;
  section.querySelector("[data-abnormal]").textContent = abnormal ? `${abnormal} ${section.dataset.outside ?? "outside normal"}` : "";
  for (const row of section.querySelectorAll("[data-row]")) {
    const [right, left] = [...row.querySelectorAll(".cell")].map(valueOf);
    const least = row.dataset.least ? Number(row.dataset.least) : null;
    const isNumber = row.querySelector(".measured") !== null;
    row.querySelector("[data-differs]").textContent = isNumber && least === null ? "" : difference(right, left, least);
  }
}

function focusOn(cell) {
  const target = cell.querySelector("input:checked") ?? cell.querySelector("input");
  target?.focus();
}

function onKey(form, event) {
  const radio = event.target;
  if (radio.type !== "radio" || event.ctrlKey || event.metaKey || event.altKey) return;
  const cell = radio.closest(".cell");
  if (!cell) return;
  if (event.key === "ArrowUp" || event.key === "ArrowDown") {
    event.preventDefault();
    const cells = [...form.querySelectorAll(".cell")].filter(isShown);
    const next = neighbour(cells, cell, event.key === "ArrowUp" ? -1 : 1);
    if (next) focusOn(next);
    return;
  }
  if (event.key === "Delete" || event.key === "Backspace") {
    event.preventDefault();
    open(form, cell);
    return;
  }
  const grade = gradeFor(event.key, [...cell.querySelectorAll("input[type=radio]")]);
  if (!grade) return;
  event.preventDefault();
  grade.checked = true;
  grade.focus();
  changed(form, grade);
}

/** Nothing chosen any more in this cell. */
function open(form, cell) {
  const chosen = cell.querySelector("input:checked");
  if (!chosen) return;
  chosen.checked = false;
  changed(form, chosen);
}

function changed(form, input) {
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

function onButton(form, event) {
  const { fill, untested } = event.currentTarget.dataset;
  event.preventDefault();
  if (fill) fillNormal(cellsOf(form, fill));
  else {
    const reason = form.querySelector(`#reason_${untested}`);
    if (!reason.value.trim()) return reason.focus();
    markUntested(cellsOf(form, untested), reason.value.trim());
  }
  changed(form, form);
}

/** A chosen grade pressed once more is open again; a browser alone never unchooses a radio button. */
function openOnSecondPress(form) {
  let was = null;
  form.addEventListener("pointerdown", (event) => {
    const radio = event.target.closest("label")?.querySelector("input[type=radio]");
    was = radio?.checked && radio.closest(".cell") ? radio : null;
  });
  form.addEventListener("click", (event) => {
    if (event.target !== was) return;
    was = null;
    open(form, event.target.closest(".cell"));
  });
}

/** Remarks that are empty now and on record are not sent: several hundred of them say nothing. */
function dropEmpty(form, data) {
  for (const remark of form.querySelectorAll(".remark")) {
    if (!remark.value && !remark.defaultValue) data.delete(remark.name);
  }
  for (const name of [...data.keys()]) if (name.startsWith("reason_") && !data.get(name)) data.delete(name);
}

function begin(form) {
  for (const button of form.querySelectorAll("[data-fill], [data-untested]")) {
    button.addEventListener("click", (event) => onButton(form, event));
  }
  form.addEventListener("keydown", (event) => onKey(form, event));
  form.addEventListener("formdata", (event) => dropEmpty(form, event.formData));
  for (const kind of ["change", "input"]) {
    form.addEventListener(kind, (event) => {
      const section = event.target.closest?.(".section");
      for (const each of section && event.target !== form ? [section] : form.querySelectorAll(".section")) showSection(each);
    });
  }
  openOnSecondPress(form);
}

if (typeof document !== "undefined") {
  for (const form of document.querySelectorAll("[data-neuro]")) begin(form);
}
