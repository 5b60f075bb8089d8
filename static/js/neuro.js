// The neuro grid: one tap fills in what is normal, and a row says at once where its sides differ.
// Which grade is normal is written on the radio buttons by the server (data-normal).

const NOT_TESTED = "NT";

export function fillNormal(form) {
  for (const grade of form.querySelectorAll("input[data-normal]")) {
    const chosen = form.querySelector(`input[name="${grade.name}"]:checked`);
    if (!chosen) grade.checked = true;
  }
  form.dispatchEvent(new Event("change", { bubbles: true }));
}

export function difference(right, left) {
  if (!right || !left || right === NOT_TESTED || left === NOT_TESTED || right === left) return "";
  return `sides differ: right ${right}, left ${left}`;
}

function showDifferences(form) {
  for (const row of form.querySelectorAll("[data-row]")) {
    const [right, left] = [...row.querySelectorAll(".grades")].map((cell) => cell.querySelector(":checked")?.value);
    row.querySelector("[data-differs]").textContent = difference(right, left);
  }
}

if (typeof document !== "undefined") {
  const form = document.querySelector("[data-neuro]");
  if (form) {
    form.querySelector("[data-fill]").addEventListener("click", (event) => {
      event.preventDefault();
      fillNormal(form);
    });
    form.addEventListener("change", () => showDifferences(form));
    showDifferences(form);
  }
}
