// Before what cannot be undone: say it in words, and let the button say what it does.
// <form data-ask="Sentence." data-ask-yes="Clear 3 codes" data-ask-word="CLEAR"> (the word is optional)

// A "yes" holds for the submits that follow at once: keep.js asks the server first and then submits again.
const YES_HOLDS_FOR = 10_000;
const confirmed = new WeakSet();

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

function ask(form, submitter) {
  const source = submitter?.dataset.ask ? submitter : form;
  const { ask: sentence, askYes, askWord } = source.dataset;
  const yes = element("button", { className: "btn btn-danger", type: "button", textContent: askYes ?? submitter?.textContent ?? "Do it" });
  const no = element("button", { className: "btn", type: "button", textContent: "Leave it as it is" });
  const words = element("p", { id: "ask-words", textContent: sentence });
  const dialog = element("dialog", { className: "ask" }, words);
  dialog.setAttribute("aria-labelledby", "ask-words");

  if (askWord) {
    const input = element("input", { type: "text", id: "ask-word", autocomplete: "off", autocapitalize: "characters" });
    const label = element("label", { htmlFor: "ask-word", textContent: `Type ${askWord} to go on` });
    dialog.append(element("div", { className: "field" }, label, input));
    yes.disabled = true;
    input.addEventListener("input", () => {
      yes.disabled = input.value.trim().toUpperCase() !== askWord.toUpperCase();
    });
  }
  dialog.append(element("div", { className: "cluster" }, no, yes));

  yes.addEventListener("click", () => {
    dialog.close();
    confirmed.add(form);
    setTimeout(() => confirmed.delete(form), YES_HOLDS_FOR);
    form.requestSubmit(submitter);
  });
  no.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => {
    dialog.remove();
    (submitter ?? form).focus?.();
  });
  document.body.append(dialog);
  dialog.showModal();
  if (!askWord) no.focus();
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.dataset.ask && !event.submitter?.dataset.ask) return;
    if (confirmed.has(form)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    ask(form, event.submitter);
  },
  true,
);
