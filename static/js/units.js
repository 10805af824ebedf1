// A number beside a unit that can be switched: the number stays as it was typed; what it is in the
// shop's own unit is shown under it. Options carry data-factor and data-offset: base = value * factor + offset.

function parsed(text) {
  const plain = text.trim().replace(/\s/g, "").replace(",", ".");
  return /^[-+−]?\d*\.?\d+$/.test(plain) ? Number(plain.replace("−", "-")) : null;
}

function scale(option) {
  const factor = Number(option?.dataset.factor);
  return factor ? { factor, offset: Number(option.dataset.offset ?? 0), label: option.textContent.trim() } : null;
}

function show(select) {
  const number = document.getElementById(select.dataset.unitFor);
  const output = document.querySelector(`[data-converted-for="${CSS.escape(select.dataset.unitFor)}"]`);
  if (!number || !output) return;
  const chosen = scale(select.selectedOptions[0]);
  const value = parsed(number.value);
  const others = [...select.options].filter((option) => option !== select.selectedOptions[0]).map(scale).filter(Boolean);
  if (value === null || !chosen || others.length === 0) {
    output.textContent = "";
    return;
  }
  const base = value * chosen.factor + chosen.offset;
  const words = others.map((unit) => {
    const step = (10 ** -decimals(number.value) * chosen.factor) / unit.factor;
    return `= ${sensible((base - unit.offset) / unit.factor, step, unit.offset !== chosen.offset)} ${unit.label}`;
  });
  output.textContent = words.join("  ");
}

function decimals(text) {
  return text.trim().replace(",", ".").split(".")[1]?.replace(/0+$/, "").length ?? 0;
}

// As engineering/figures.py rounds: about the step in which the value was typed, and at least three figures, but for a
// temperature, whose zero lies elsewhere.
function sensible(value, step, hasOtherZero) {
  let place = Math.floor(Math.log10(step) + 1e-9);
  if (value && !hasOtherZero) place = Math.min(place, Math.floor(Math.log10(Math.abs(value))) - 2);
  const plain = Number((Math.round(value / 10 ** place) * 10 ** place).toFixed(Math.max(0, -place)));
  return plain.toLocaleString("en-US", { maximumFractionDigits: Math.max(0, -place) });
}

document.addEventListener("input", (event) => {
  if (event.target.matches("select[data-unit-for]")) show(event.target);
  else if (event.target.id) document.querySelectorAll(`select[data-unit-for="${CSS.escape(event.target.id)}"]`).forEach(show);
});
document.querySelectorAll("select[data-unit-for]").forEach(show);
document.addEventListener("htmx:load", (event) => event.detail.elt.querySelectorAll("select[data-unit-for]").forEach(show));
