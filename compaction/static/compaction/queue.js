// Records that could not be sent yet: kept on this device with their id, sent again by themselves, counted in sight.
"use strict";

const Queue = (() => {
  const box = document.getElementById("queue");
  const text = document.getElementById("queue-text");
  const key = box.dataset.key;
  const refused = new Map();
  let running = false;

  function read() {
    try { const found = JSON.parse(localStorage.getItem(key)); return Array.isArray(found) ? found : []; } catch { return []; }
  }

  function write(items) { localStorage.setItem(key, JSON.stringify(items)); show(); }

  function show(note) {
    const items = read();
    box.hidden = items.length === 0;
    const said = [...refused.values()][0];
    text.textContent = items.length === 0 ? "" :
      `${items.length} test${items.length === 1 ? " waits" : "s wait"} on this device. ` + (note || said || "They are sent as soon as there is a network.");
  }

  function keep(item) { write([...read().filter((other) => other.uuid !== item.uuid), item]); }
  function drop(uuid) { write(read().filter((other) => other.uuid !== uuid)); }

  // Resolves to {status, answer}; rejects only where no answer came.
  async function post(address, body) {
    const response = await fetch(address, {
      method: "POST", credentials: "same-origin", redirect: "error", body,
      headers: { "Content-Type": "application/json", "X-CSRFToken": box.dataset.token },
    });
    let answer = {};
    try { answer = await response.json(); } catch { /* an answer that is not JSON has only its status */ }
    return { status: response.status, answer };
  }

  const addressOf = (uuid) => box.dataset.send.replace("00000000-0000-0000-0000-000000000000", uuid);
  const send = (item) => post(addressOf(item.uuid), item.body);

  async function flush() {
    if (running || read().length === 0) return;
    running = true;
    let note = "";
    try {
      for (const item of read()) {
        const { status, answer } = await send(item);
        if (status === 200 || status === 201) { refused.delete(item.uuid); drop(item.uuid); continue; }
        const why = (answer.errors || []).map((error) => error[2]).join(" ");
        if (status === 401) { note = "Sign in again to send them; nothing is lost."; break; }
        if (status >= 500 || status === 403) { note = why || "The server did not take them yet; nothing is lost."; break; }
        refused.set(item.uuid, `One was not taken: ${why || "status " + status}`);
      }
    } catch { note = "There is no network now; nothing is lost."; }
    running = false;
    show(note);
  }

  document.getElementById("queue-send").addEventListener("click", flush);
  window.addEventListener("online", flush);
  window.addEventListener("storage", (event) => { if (event.key === key) show(); });
  show();
  flush();
  setInterval(flush, 60000);
  return { keep, drop, post, send, read, flush };
})();
