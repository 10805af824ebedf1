// The box that a customer signs in. What is drawn is kept as strokes of points in units of the canvas, and sent in a
// hidden field. Pointer events serve finger, pen and mouse; the keys draw as well.

const MOST_POINTS = 12000;
const STEP = 20;

function begin(form) {
  const canvas = form.querySelector("canvas");
  const field = form.querySelector("[data-signature-strokes]");
  const state = form.querySelector("[data-signature-state]");
  const pen = canvas.getContext("2d");
  let strokes = [];
  let current = null; // the stroke that is being drawn
  let byKey = null; // where the pen of the keyboard is, and whether it is down

  for (const part of form.querySelectorAll("[data-signature]")) part.hidden = false;
  form.querySelector("[data-signature-without]").hidden = true;

  function points() {
    return strokes.reduce((sum, stroke) => sum + stroke.length, 0);
  }

  function draw() {
    pen.clearRect(0, 0, canvas.width, canvas.height);
    pen.lineWidth = 5;
    pen.lineCap = pen.lineJoin = "round";
    pen.strokeStyle = "#000";
    for (const stroke of strokes) {
      pen.beginPath();
      pen.moveTo(...stroke[0]);
      for (const point of stroke.length > 1 ? stroke.slice(1) : stroke) pen.lineTo(...point);
      pen.stroke();
    }
    if (byKey) {
      pen.beginPath();
      pen.lineWidth = 2;
      pen.arc(byKey.at[0], byKey.at[1], 9, 0, 2 * Math.PI);
      pen.stroke();
    }
  }

  function tell() {
    field.value = strokes.length ? JSON.stringify(strokes) : "";
    const pens = byKey ? (byKey.down ? " The pen is down." : " The pen is up.") : "";
    const drawn = strokes.length === 1 ? "1 stroke is drawn." : `${strokes.length} strokes are drawn.`;
    const said = (strokes.length ? drawn : "Nothing is drawn yet.") + pens;
    if (state.textContent !== said) state.textContent = said;
  }

  function add(point) {
    const last = current[current.length - 1];
    if (points() < MOST_POINTS && (!last || last[0] !== point[0] || last[1] !== point[1])) current.push(point);
  }

  function placeOf(event) {
    const box = canvas.getBoundingClientRect();
    const x = Math.round(((event.clientX - box.left) / box.width) * canvas.width);
    const y = Math.round(((event.clientY - box.top) / box.height) * canvas.height);
    return [Math.min(Math.max(x, 0), canvas.width), Math.min(Math.max(y, 0), canvas.height)];
  }

  canvas.addEventListener("pointerdown", (event) => {
    if (!event.isPrimary || event.button > 0) return;
    event.preventDefault();
    canvas.setPointerCapture(event.pointerId);
    byKey = null;
    current = [];
    strokes.push(current);
    add(placeOf(event));
    draw();
    tell();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!current || byKey || !event.isPrimary) return;
    for (const one of event.getCoalescedEvents?.() ?? [event]) add(placeOf(one));
    draw();
  });
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, (event) => {
      if (!event.isPrimary || byKey) return;
      current = null;
      tell();
    });
  }

  canvas.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (event.key === "Backspace") {
      event.preventDefault();
      clear();
    } else if (event.key === " ") {
      event.preventDefault();
      byKey ??= { at: [canvas.width / 10, canvas.height / 2], down: false };
      byKey.down = !byKey.down;
      if (byKey.down) {
        current = [];
        strokes.push(current);
        add([...byKey.at]);
      } else {
        current = null;
      }
      draw();
      tell();
    } else if (way) {
      event.preventDefault();
      byKey ??= { at: [canvas.width / 10, canvas.height / 2], down: false };
      byKey.at = [
        Math.min(Math.max(byKey.at[0] + way[0] * STEP, 0), canvas.width),
        Math.min(Math.max(byKey.at[1] + way[1] * STEP, 0), canvas.height),
      ];
      if (byKey.down) add([...byKey.at]);
      draw();
      tell();
    }
  });

  function clear() {
    strokes = [];
    current = null;
    byKey = null;
    draw();
    tell();
  }

  form.querySelector("[data-signature-clear]").addEventListener("click", () => {
    clear();
    canvas.focus();
  });
  tell();
}

const form = document.getElementById("sign-form");
if (form) begin(form);
