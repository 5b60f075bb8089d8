/** "How strong is it?": a row of eleven numbers for one kind. None is chosen beforehand. */

/**
 * Make a row from the page's <template data-strength-row> and put it into `host`.
 * legend: what is asked; kind: {id, label}; chosen: 0..10 or undefined; pick(number); name: of the row's inputs.
 */
export function strengthRow(host, template, { legend, kind, chosen, pick, name }) {
  const row = template.content.firstElementChild.cloneNode(true);
  row.dataset.kind = kind.id;
  row.querySelector("legend").textContent = legend;
  for (const input of row.querySelectorAll("input")) {
    input.name = `${name}-${kind.id}`;
    input.checked = Number(input.value) === chosen;
    input.addEventListener("change", () => pick(Number(input.value)));
  }
  host.append(row);
  return row;
}
