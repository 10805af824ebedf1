// A button that says how many: data-counts="[name=codes]:checked" data-none="Log codes" data-one="Log 1 code"
// data-many="Log {n} codes". Without it the button keeps its plain words.

// data-shown-with="…" and data-shown-without="…": a button for one or more, and another one for none.

function recount() {
  for (const button of document.querySelectorAll("[data-shown-with]")) {
    button.hidden = !document.querySelector(button.dataset.shownWith);
  }
  for (const button of document.querySelectorAll("[data-shown-without]")) {
    button.hidden = Boolean(document.querySelector(button.dataset.shownWithout));
  }
  for (const button of document.querySelectorAll("[data-counts]")) {
    if (button.hasAttribute("data-busy")) continue;
    const count = document.querySelectorAll(button.dataset.counts).length;
    const words = count === 0 ? button.dataset.none : count === 1 ? button.dataset.one : button.dataset.many;
    if (words) button.textContent = words.replace("{n}", count);
  }
}

document.addEventListener("change", recount);
document.addEventListener("input", recount);
document.addEventListener("htmx:afterSettle", recount);
recount();
