// A form marked data-passkey="add" or "use": its button asks the device for a passkey, and sends what it made.
// With data-passkey-from it asks that address what to ask for, and is hidden where there are no passkeys.

const ADD = "add";

function bytes(text) {
  const packed = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(packed, (sign) => sign.charCodeAt(0));
}

function text(buffer) {
  const packed = btoa(String.fromCharCode(...new Uint8Array(buffer)));
  return packed.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

function known(list) {
  return (list ?? []).map((entry) => ({ ...entry, id: bytes(entry.id) }));
}

async function asked(form) {
  const from = form.dataset.passkeyFrom;
  if (!from) return JSON.parse(form.dataset.passkeyOptions);
  const answer = await fetch(from, { headers: { Accept: "application/json" }, cache: "no-store" }).catch(() => null);
  if (!answer?.ok || answer.redirected) throw new DOMException("No options", "NotAllowedError");
  return answer.json();
}

async function made(options) {
  const wanted = { ...options, challenge: bytes(options.challenge), excludeCredentials: known(options.excludeCredentials) };
  wanted.user = { ...options.user, id: bytes(options.user.id) };
  const credential = await navigator.credentials.create({ publicKey: wanted });
  const { response } = credential;
  return told(credential, {
    attestationObject: text(response.attestationObject),
    clientDataJSON: text(response.clientDataJSON),
    transports: response.getTransports?.() ?? [],
  });
}

async function used(options) {
  const wanted = { ...options, challenge: bytes(options.challenge), allowCredentials: known(options.allowCredentials) };
  const credential = await navigator.credentials.get({ publicKey: wanted });
  const { response } = credential;
  return told(credential, {
    authenticatorData: text(response.authenticatorData),
    clientDataJSON: text(response.clientDataJSON),
    signature: text(response.signature),
    userHandle: response.userHandle ? text(response.userHandle) : null,
  });
}

function told(credential, response) {
  return {
    id: credential.id,
    rawId: text(credential.rawId),
    type: credential.type,
    response,
    clientExtensionResults: credential.getClientExtensionResults(),
    authenticatorAttachment: credential.authenticatorAttachment,
  };
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  const button = form.querySelector("button[type=submit]");
  const problem = form.querySelector("[data-passkey-problem]");
  if (!window.PublicKeyCredential) {
    problem.hidden = false;
    continue;
  }
  form.hidden = false;
  button.hidden = false;
  let isReady = false;
  form.addEventListener("submit", async (event) => {
    const kept = form.elements.namedItem("credential");
    if (isReady) return;
    event.preventDefault();
    if (!form.reportValidity()) return;
    try {
      const { publicKey } = await asked(form);
      const credential = form.dataset.passkey === ADD ? await made(publicKey) : await used(publicKey);
      for (const copy of form.querySelectorAll("[data-same-as]")) {
        copy.value = document.getElementById(copy.dataset.sameAs)?.checked ? "on" : "";
      }
      kept.value = JSON.stringify(credential);
      isReady = true;
      form.requestSubmit(button);
    } catch (failure) {
      if (!(failure instanceof DOMException)) throw failure;
      problem.hidden = false;
      problem.focus();
    }
  });
}
