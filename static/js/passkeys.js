// A form marked data-passkey="add" or "use": its button asks the device for a passkey, and sends what it made.

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

async function made(options) {
  const asked = { ...options, challenge: bytes(options.challenge), excludeCredentials: known(options.excludeCredentials) };
  asked.user = { ...options.user, id: bytes(options.user.id) };
  const credential = await navigator.credentials.create({ publicKey: asked });
  const { response } = credential;
  return told(credential, {
    attestationObject: text(response.attestationObject),
    clientDataJSON: text(response.clientDataJSON),
    transports: response.getTransports?.() ?? [],
  });
}

async function used(options) {
  const asked = { ...options, challenge: bytes(options.challenge), allowCredentials: known(options.allowCredentials) };
  const credential = await navigator.credentials.get({ publicKey: asked });
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
  button.hidden = false;
  let isReady = false;
  form.addEventListener("submit", async (event) => {
    const kept = form.elements.namedItem("credential");
    if (isReady) return;
    event.preventDefault();
    if (!form.reportValidity()) return;
    const { publicKey } = JSON.parse(form.dataset.passkeyOptions);
    try {
      const credential = form.dataset.passkey === ADD ? await made(publicKey) : await used(publicKey);
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
