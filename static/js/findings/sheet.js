// The key Enter goes on: down the column, then to the top of the next one, at the end to where a row is added, and from
// an empty line there to the button that logs. Without scripts Enter sends the form.

const isIn = (target) => target.closest?.("#sheet");

function values() {
  const rows = [...document.querySelectorAll("#sheet-rows > .sheet-row:not(.sheet-head)")];
  const grid = rows.map((row) => [...row.querySelectorAll(":scope > .sheet-cell")].map((cell) => cell.querySelector(".cell-entry input")));
  const columns = Math.max(0, ...grid.map((row) => row.length));
  return Array.from({ length: columns }, (_, at) => grid.map((row) => row[at])).flat().filter(Boolean);
}

function goOn(input) {
  const own = input.closest(".sheet-cell")?.querySelector(".cell-entry input");
  const all = values();
  const next = all[all.indexOf(own) + 1] ?? document.getElementById("id_find");
  next?.focus();
  next?.select?.();
  next?.scrollIntoView({ block: "nearest" });
}

document.addEventListener("keydown", (event) => {
  const input = event.target;
  if (event.key !== "Enter" || event.isComposing || !isIn(input) || input.tagName !== "INPUT") return;
  if (input.closest(".sheet-cell")) {
    event.preventDefault();
    goOn(input);
  } else if (input.id === "id_find") {
    event.preventDefault();
    if (input.value.trim()) document.getElementById("take").click();
    else document.querySelector(".thumb .btn-main")?.focus();
  } else if (input.name === "sheet-name") {
    event.preventDefault();
    document.querySelector("[name=save-sheet]").click();
  } else if (input.name === "new-condition") {
    event.preventDefault();
    document.querySelector("[name=add-condition]").click();
  }
});

// Another unit is another value: every cell of the row is judged again.
document.addEventListener("change", (event) => {
  if (!event.target.matches?.(".sheet-unit select")) return;
  for (const cell of event.target.closest(".sheet-row").querySelectorAll(".sheet-cell")) cell.dispatchEvent(new Event("unit-changed"));
});
