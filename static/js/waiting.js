// The page without a connection: which forms wait on this device, for the person who used it last.

import { clockRows, keepClock } from "./clock-queue.js";
import { PREFIX, outcome, typedAt } from "./drafts.js";
import { uuid } from "./uuid.js";

const list = document.getElementById("waiting");
const person = localStorage.getItem("garboard:person") ?? "nobody";

function drafts() {
  return Object.keys(localStorage)
    .filter((key) => key.startsWith(`${PREFIX}${person}:`))
    .map((key) => {
      try {
        return JSON.parse(localStorage.getItem(key));
      } catch {
        return null;
      }
    })
    .filter((draft) => draft?.page?.startsWith("/") && !draft.page.startsWith("//"))
    .sort((one, other) => other.at - one.at);
}

function row(draft) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  const main = document.createElement("span");
  const title = document.createElement("b");
  const when = document.createElement("small");
  link.className = "row";
  main.className = "row-main";
  title.className = "row-title";
  link.href = draft.page;
  title.textContent = draft.title || draft.page;
  when.textContent = `Typed ${typedAt(draft)}. ${outcome(draft)}`;
  main.append(title, when);
  link.append(main);
  item.append(link);
  return item;
}

// Clocks can be touched here as well: they are kept, and sent by the next page that comes from the server.
function touched(touch) {
  const skew = Number(localStorage.getItem("garboard:skew")) || 0;
  try {
    keepClock(person, { id: uuid(), at: new Date(Date.now() + skew).toISOString(), skew, said: {}, ...touch });
  } catch {
    document.getElementById("said").textContent = "This device has no room to keep it.";
    return;
  }
  drawClocks();
  clocks.querySelector("button")?.focus();
  document.getElementById("said").textContent = `${touch.what}, ${touch.place}: kept on this device, and sent later with the time of now.`;
}

const clocks = document.getElementById("clocks");

function drawClocks() {
  const rows = clockRows(person, { touched, changed: drawClocks, alone: true });
  clocks.replaceChildren(...rows);
  clocks.hidden = !rows.length;
  document.getElementById("nothing-waits").hidden = Boolean(found.length || rows.length);
}

const found = drafts();
list.replaceChildren(...found.map(row));
list.hidden = !found.length;
drawClocks();

// The address in the browser is that of the page that was asked for: trying again asks for it.
if (location.pathname !== "/offline/") document.getElementById("again").href = location.href;
window.addEventListener("online", () => {
  document.getElementById("said").textContent = "The connection is back. Try again.";
});
