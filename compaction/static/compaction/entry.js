// The entry form: result as you type, sending, last values kept. Text from the server is only ever set as text.
"use strict";

(() => {
  const form = document.getElementById("entry");
  const more = document.getElementById("result-more");
  const box = document.getElementById("result");
  const originalData = document.getElementById("original");
  const original = originalData ? JSON.parse(originalData.textContent) : null;
  const keptKey = document.getElementById("queue").dataset.key.replace(":", "-kept:");
  let uuid = Record.uuid();
  let asked = 0;
  let timer = 0;

  function element(tag, text, className) {
    const made = document.createElement(tag);
    made.textContent = text;
    if (className) made.className = className;
    return made;
  }

  // ---- which parts are on -----------------------------------------------------------------------
  function choose() {
    for (const part of form.querySelectorAll("[data-choice]")) {
      const [name, value] = part.dataset.choice.split(/!?=/);
      const chosen = form.querySelector(`[name=${name}]:checked`);
      const on = part.dataset.choice.includes("!=") ? chosen.value !== value : chosen.value === value;
      part.hidden = !on;
      if (on) delete part.dataset.off; else part.dataset.off = "";
    }
    const method = form.querySelector("[name=method]:checked");
    for (const seen of form.querySelectorAll(".seen[data-volume-by]")) {
      const on = seen.dataset.volumeBy.split(" ").includes(method.dataset.volumeBy);
      seen.hidden = !on && !(original && seen.querySelector("[data-list]").defaultChecked);
      if (seen.hidden) seen.dataset.off = ""; else delete seen.dataset.off;
    }
    for (const group of form.querySelectorAll(".spot-group")) group.hidden = !group.querySelector(".seen:not([hidden])");
  }

  // ---- what is wrong with a field ---------------------------------------------------------------
  function clearErrors() {
    for (const said of form.querySelectorAll(".field .error")) { said.hidden = true; said.textContent = ""; }
    for (const field of form.querySelectorAll(".field.has-error")) field.classList.remove("has-error");
  }

  function tell(errors, missingToo) {
    clearErrors();
    const rest = [];
    for (const [sent, code, sentence] of errors) {
      const pointer = sent ? Record.placed(form, sent) : sent;
      if (!missingToo && (code === "missing" || code === "exactly-one-of")) continue;
      const input = [...form.querySelectorAll("[data-pointer]")].find(
        (one) => !one.closest("[data-off]") && (one.dataset.pointer === pointer || one.dataset.otherPointer === pointer));
      const field = input && input.closest(".field");
      const said = field && field.querySelector(".error");
      if (!said) { rest.push((pointer ? pointer.slice(1).replaceAll("/", ", ").replaceAll("_", " ") + ": " : "") + sentence); continue; }
      field.classList.add("has-error");
      said.textContent = sentence;
      said.hidden = false;
      const folded = field.closest("details");
      if (folded) folded.open = true;
    }
    return rest;
  }

  function label(pointer) {
    const input = [...form.querySelectorAll("[data-pointer]")].find((one) => !one.closest("[data-off]") && one.dataset.pointer === pointer);
    const named = input && form.querySelector(`label[for="${input.id}"]`);
    return named ? named.firstChild.textContent.trim().toLowerCase() : pointer.slice(1).replaceAll("/", " ").replaceAll("_", " ");
  }

  function headline(mark, text) {
    box.className = `result-box is-${mark}`;
    document.getElementById("result-mark").setAttribute("href", `#mark-${mark}`);
    document.getElementById("headline").textContent = text;
  }

  // ---- the result before sending ------------------------------------------------------------------
  function showOutcome(outcome) {
    headline(outcome.mark, outcome.headline);
    more.replaceChildren();
    for (const sentence of outcome.advice) more.append(element("p", sentence));
    if (outcome.figures.length) more.append(element("p", outcome.figures.map(([name, value]) => `${name} ${value}`).join(" · "), "small"));
    for (const item of outcome.criteria) more.append(element("p", `${item.quantity}: ${item.judged} of ${item.limit}, margin ${item.margin}, ${item.words}`, "small"));
    const list = document.createElement("ul");
    for (const finding of outcome.findings) list.append(element("li", finding.sentence, "small"));
    if (list.children.length) more.append(list);
    for (const reason of outcome.basis_reasons) more.append(element("p", reason, "small"));
  }

  function showErrors(errors, missingToo) {
    const rest = tell(errors, missingToo);
    const missing = errors.filter(([, code]) => code === "missing" || code === "exactly-one-of").map(([pointer]) => label(Record.placed(form, pointer)));
    headline("no_result", missing.length ? `Still to fill in: ${[...new Set(missing)].join(", ")}` : "Something can't be read yet");
    more.replaceChildren(...rest.map((sentence) => element("p", sentence, "error")));
  }

  async function preview() {
    const turn = ++asked;
    try {
      const { status, answer } = await Queue.post(form.dataset.preview, JSON.stringify(Record.build(form, original)));
      if (turn !== asked) return;
      if (status === 200) { clearErrors(); showOutcome(answer); }
      else if (status === 401) headline("no_result", "Signed out. Send anyway: the test is kept on this device.");
      else showErrors(answer.errors || [["", "", "The server could not work it out now."]], false);
    } catch {
      if (turn === asked) { headline("no_result", "No network: the result comes when the test is sent."); more.replaceChildren(); }
    }
  }

  function later() { clearTimeout(timer); timer = setTimeout(preview, 350); }

  // ---- last values --------------------------------------------------------------------------------
  function remember() {
    const kept = { at: new Date().toISOString(), day: Record.now(form.dataset.zone).slice(0, 10), values: {} };
    for (const input of form.querySelectorAll("[data-keep]")) {
      if (input.closest("[data-off]")) continue;
      const unit = document.getElementById(input.id + "-unit");
      kept.values[input.id] = [input.value, unit ? unit.value : ""];
    }
    const method = form.querySelector("[name=method]:checked");
    kept.method = method ? method.value : "";
    localStorage.setItem(keptKey, JSON.stringify(kept));
  }

  function recall() {
    let kept = null;
    try { kept = JSON.parse(localStorage.getItem(keptKey)); } catch { return; }
    if (!kept || (form.dataset.last && Date.parse(form.dataset.last) > Date.parse(kept.at))) return;
    const sameDay = kept.day === Record.now(form.dataset.zone).slice(0, 10);
    const method = [...form.querySelectorAll("[name=method]")].find((radio) => radio.value === kept.method);
    if (method) method.checked = true;
    for (const input of form.querySelectorAll("[data-keep]")) {
      const found = kept.values[input.id];
      if (!found || (input.dataset.keep === "day" && !sameDay)) continue;
      input.value = found[0];
      const unit = document.getElementById(input.id + "-unit");
      if (unit && found[1]) unit.value = found[1];
    }
  }

  // ---- sending ------------------------------------------------------------------------------------
  function done(title, text, address) {
    form.hidden = true;
    const panel = document.getElementById("done");
    panel.hidden = false;
    document.getElementById("done-title").textContent = title;
    document.getElementById("done-text").textContent = text;
    const link = document.getElementById("done-link");
    link.hidden = !address;
    if (address) link.href = address;
    panel.focus();
  }

  async function sendNew() {
    const item = { uuid, body: JSON.stringify(Record.build(form, null)), at: new Date().toISOString() };
    Queue.keep(item); // kept first: a phone that dies now has not lost it
    remember();
    try {
      const { status, answer } = await Queue.send(item);
      if (status === 200 || status === 201) {
        Queue.drop(item.uuid);
        const words = { pass: "passes", fail: "fails", pending: "waits for a value" }[answer.result] || "has no criterion";
        const held = answer.holds.length ? " It is on hold until a person looks at it." : "";
        return done(`Test ${answer.name} ${words}`, `${answer.margin}.${held} Receipt ${answer.receipt.seq}, ${answer.receipt.hash.slice(0, 16)}.`, answer.address);
      }
      if (status === 422 || status === 400) { Queue.drop(item.uuid); return showErrors(answer.errors || [], true); }
      if (status === 409 || status === 403) { Queue.drop(item.uuid); headline("no_result", "Not taken"); return more.replaceChildren(...(answer.errors || []).map((error) => element("p", error[2], "error"))); }
      return done("Kept on this device", status === 401 ? "You are signed out. Sign in again; the test is then sent by itself." : "The server did not take it now; it is sent again by itself.", "");
    } catch {
      return done("Kept on this device", "There is no network. The test has its id and is sent as soon as there is one; sending twice does no harm.", "");
    }
  }

  async function sendAmendment() {
    const reason = document.getElementById("id_reason");
    const body = {
      client_uuid: document.getElementById("id_client_uuid").value, replaces: Number(document.getElementById("id_replaces").value),
      reason_code: document.getElementById("id_reason_code").value, reason: reason.value, content: Record.build(form, original),
    };
    try {
      const { status, answer } = await Queue.post(form.dataset.amend, JSON.stringify(body));
      if (status === 200 || status === 201) { window.location.assign(answer.address); return; }
      showErrors(answer.errors || [["", "", "You are signed out; open another window, sign in and send again."]], true);
    } catch { headline("no_result", "There is no network. An amendment is not kept on the device: try again."); }
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    clearTimeout(timer);
    asked += 1;
    const button = document.getElementById("send");
    button.disabled = true;
    await (original ? sendAmendment() : sendNew());
    button.disabled = false;
  });
  form.addEventListener("input", later);
  form.addEventListener("change", () => { choose(); later(); });

  document.getElementById("next").addEventListener("click", () => {
    uuid = Record.uuid();
    for (const input of form.querySelectorAll("[data-pointer]")) {
      const stays = input.dataset.keep || ["radio", "select-one"].includes(input.type) || input.dataset.pointer === "/technician";
      if (!stays) input.value = "";
    }
    for (const box of form.querySelectorAll("[data-list]")) { box.checked = false; box.closest(".seen").querySelector("[data-note]").value = ""; }
    document.getElementById("retest").value = "";
    document.getElementById("check").value = "";
    const planned = document.getElementById("planned"); // the next test is somewhere else
    if (planned) planned.hidden = true;
    const made = form.querySelector('[data-pointer="/performed_at"]');
    made.value = Record.now(form.dataset.zone);
    document.getElementById("done").hidden = true;
    form.hidden = false;
    clearErrors(); headline("no_result", "The result shows here as you type."); more.replaceChildren();
    form.querySelector('[data-pointer="/position/station"]').focus();
  });

  for (const button of form.querySelectorAll("[data-insert-plus]")) {
    button.addEventListener("click", () => {
      const input = document.getElementById(button.dataset.insertPlus);
      const at = input.selectionStart ?? input.value.length;
      input.value = input.value.slice(0, at) + "+" + input.value.slice(input.selectionEnd ?? at);
      input.focus();
      input.setSelectionRange(at + 1, at + 1);
      later();
    });
  }

  // A retest is made at the same spot: station, offset and lift come along, to be checked by the technician.
  function fromFailure() {
    const chosen = document.getElementById("retest").selectedOptions[0];
    if (!chosen || !chosen.dataset.station) return;
    const put = (pointer, value) => { const input = form.querySelector(`[data-pointer="${pointer}"]`); if (input && value) input.value = value; };
    put("/position/station", chosen.dataset.station);
    const offset = /^([0-9.]+) \S+ ([LR])$/.exec(chosen.dataset.offset);
    const input = form.querySelector('[data-pointer="/position/offset"]');
    if (offset) { input.value = offset[1]; const side = document.getElementById(input.id + "-unit"); if (side) side.value = offset[2]; }
    else if (chosen.dataset.offset === "CL") input.value = "0";
    put("/lift", chosen.dataset.lift);
  }
  document.getElementById("retest").addEventListener("change", () => { if (!original) fromFailure(); });

  document.getElementById("fix").addEventListener("click", () => {
    const said = document.getElementById("fix-said");
    if (!navigator.geolocation) { said.textContent = "This device gives no position."; return; }
    said.textContent = "Looking for satellites …";
    navigator.geolocation.getCurrentPosition((found) => {
      const put = (name, value) => { form.querySelector(`[data-pointer="/position/gps/${name}"]`).value = value; };
      put("latitude", found.coords.latitude.toFixed(6)); put("longitude", found.coords.longitude.toFixed(6));
      put("accuracy", `${found.coords.accuracy.toFixed(1)} m`); put("confidence", "95 %"); // W3C Geolocation: accuracy at 95 %
      said.textContent = `Fix within ${found.coords.accuracy.toFixed(0)} m is sent along.`;
      later();
    }, () => { said.textContent = "No position came; the test does not need one."; }, { enableHighAccuracy: true, timeout: 20000 });
  });

  if (!original) { recall(); fromFailure(); }
  choose();
  if (original) later();
})();
