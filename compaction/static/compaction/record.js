// Builds the record of a test from the fields of the entry form: the same JSON that any other client sends.
"use strict";

const Record = (() => {
  // ".5" becomes "0.5", "7." becomes "7", "007" becomes "7". A comma is left for the server to ask about.
  function tidy(text) {
    const bare = text.trim().replace(/\u2212/g, "-").replace(/^\+/, "");
    const found = /^(-?)0*([0-9]*)(\.[0-9]*)?$/.exec(bare);
    if (!found || !/[0-9]/.test(bare)) return text.trim();
    const fraction = found[3] && found[3].length > 1 ? found[3] : "";
    return found[1] + (found[2] || "0") + fraction;
  }

  // The offset of the project's clock at a moment typed on that clock, as "-06:00".
  function zoneOffset(typed, zone) {
    const asUtc = Date.parse(typed + "Z");
    const read = (moment) => {
      const parts = new Intl.DateTimeFormat("en-US", {
        timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit",
        hour: "2-digit", minute: "2-digit", second: "2-digit",
      }).formatToParts(new Date(moment));
      const p = Object.fromEntries(parts.map((part) => [part.type, part.value]));
      return Date.UTC(+p.year, +p.month - 1, +p.day, +p.hour, +p.minute, +p.second) - moment;
    };
    let shift = read(asUtc);
    shift = read(asUtc - shift); // once more, for the hours around a change of the clock
    const minutes = Math.round(Math.abs(shift) / 60000);
    const pad = (n) => String(n).padStart(2, "0");
    return (shift < 0 ? "-" : "+") + pad(Math.floor(minutes / 60)) + ":" + pad(minutes % 60);
  }

  function now(zone) {
    const p = Object.fromEntries(new Intl.DateTimeFormat("en-US", {
      timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit",
    }).formatToParts(new Date()).map((part) => [part.type, part.value]));
    return `${p.year}-${p.month}-${p.day}T${p.hour}:${p.minute}`;
  }

  const parts = (pointer) => pointer.slice(1).split("/");

  function get(body, pointer) {
    return parts(pointer).reduce((place, name) => (place === undefined || place === null ? undefined : place[name]), body);
  }

  function set(body, pointer, value) {
    const names = parts(pointer);
    let place = body;
    names.forEach((name, index) => {
      if (index === names.length - 1) { place[name] = value; return; }
      if (!Object.hasOwn(place, name)) place[name] = /^[0-9]+$/.test(names[index + 1]) ? [] : {};
      place = place[name];
    });
  }

  function remove(body, pointer) {
    const names = parts(pointer);
    const parent = names.length > 1 ? get(body, "/" + names.slice(0, -1).join("/")) : body;
    if (parent && Object.hasOwn(parent, names[names.length - 1])) delete parent[names[names.length - 1]];
  }

  function prune(value) {
    if (Array.isArray(value)) return value.map(prune).filter((item) => item !== undefined);
    if (value && typeof value === "object") {
      const kept = Object.entries(value).map(([name, item]) => [name, prune(item)]).filter(([, item]) => item !== undefined);
      return kept.length ? Object.fromEntries(kept) : undefined;
    }
    return value;
  }

  const unitOf = (input) => document.getElementById(input.id + "-unit");

  function pointerOf(input) {
    const other = input.dataset.otherPointer;
    return other && input.dataset.otherUnits.split(" ").includes(unitOf(input).value) ? other : input.dataset.pointer;
  }

  function valueOf(input, zone) {
    const kind = input.dataset.kind;
    const text = input.value.trim();
    if (!text) return undefined;
    if (kind === "quantity") return `${tidy(text)} ${unitOf(input).value}`;
    if (kind === "offset") return /^[-+0-9.]+$/.test(text) ? (Number(text) === 0 ? "0" : `${tidy(text)} ${unitOf(input).value}`) : text;
    if (kind === "number") return tidy(text);
    if (kind === "count" || kind === "whole") return /^[0-9]{1,7}$/.test(text) ? Number(text) : text;
    if (kind === "yes_no") return text === "true";
    if (kind === "time") { const full = text.length === 16 ? text + ":00" : text; return full + zoneOffset(full, zone); }
    return kind === "lines" ? input.value.trim() : text;
  }

  function touched(input) {
    const changed = (field) => field.tagName === "SELECT"
      ? field.selectedIndex !== Math.max(0, [...field.options].findIndex((option) => option.defaultSelected))
      : field.type === "radio" ? field.checked !== field.defaultChecked : field.value !== field.defaultValue;
    const unit = unitOf(input);
    return changed(input) || Boolean(unit && changed(unit));
  }

  function inputs(form) {
    return [...form.querySelectorAll("[data-pointer]")].filter(
      (input) => !input.closest("[data-off]") && (input.type !== "radio" || input.checked));
  }

  // Whether one of the fields that an input goes along with is filled in.
  function anchored(form, anchors) {
    return anchors.split(" ").some((pointer) => {
      const holder = form.querySelector(`[data-pointer="${pointer}"]`);
      return holder && !holder.closest("[data-off]") && holder.value.trim();
    });
  }

  // Entries of a list that were left empty are left out of the record: what the server calls entry 0 may be another here.
  function placed(form, pointer) {
    const written = inputs(form).filter((input) => valueOf(input, form.dataset.zone) !== undefined
      && (!input.dataset.onlyWith || anchored(form, input.dataset.onlyWith))).map((input) => input.dataset.pointer);
    let at = "";
    for (const name of parts(pointer)) {
      const own = written.filter((one) => one.startsWith(at + "/")).map((one) => one.slice(at.length + 1).split("/")[0]);
      const entries = [...new Set(own.filter((one) => /^[0-9]+$/.test(one)))].sort((a, b) => a - b);
      at += "/" + (/^[0-9]+$/.test(name) ? entries[Number(name)] ?? name : name);
    }
    return at;
  }

  // Boxes of a list: each ticked one as its value, or with its note as an object.
  function lists(form, body, original) {
    const boxes = [...form.querySelectorAll("[data-list]")];
    const note = (box) => box.closest(".seen").querySelector("[data-note]");
    for (const pointer of new Set(boxes.map((box) => box.dataset.list))) {
      const own = boxes.filter((box) => box.dataset.list === pointer);
      if (original && !own.some((box) => box.checked !== box.defaultChecked || note(box).value !== note(box).defaultValue)) continue;
      remove(body, pointer);
      const ticked = own.filter((box) => box.checked && !box.closest("[data-off]"));
      if (ticked.length) set(body, pointer, ticked.map((box) => (note(box).value.trim() ? { what: box.value, note: note(box).value.trim() } : box.value)));
    }
  }

  // `original`: the record that is amended; what nobody touched stays exactly as it was written.
  function build(form, original) {
    const body = original ? structuredClone(original) : {};
    const zone = form.dataset.zone;
    const chosen = form.querySelector("[name=method]:checked");
    if (original && chosen && chosen.value !== original.method) delete body.readings;
    for (const input of inputs(form)) {
      const pointer = pointerOf(input);
      if (original && !touched(input) && input.dataset.kind !== "radio") continue;
      remove(body, input.dataset.pointer);
      if (input.dataset.otherPointer) remove(body, input.dataset.otherPointer);
      const anchor = input.dataset.onlyWith;
      if (anchor) {
        if (!anchored(form, anchor)) continue;
      }
      const value = valueOf(input, zone);
      if (value !== undefined) set(body, pointer, value);
    }
    if (original) {
      for (const off of form.querySelectorAll("[data-off] [data-pointer]")) {
        if (off.dataset.pointer.startsWith("/readings/")) continue; // methods share names; a changed method has dropped them all
        if (!form.querySelector(`[data-pointer="${off.dataset.pointer}"]:not([data-off] *)`)) remove(body, off.dataset.pointer);
      }
      for (const input of inputs(form)) { // an anchor was filled in now: its companions go along untouched
        const anchor = input.dataset.onlyWith;
        if (anchor && anchor.split(" ").some((one) => get(body, one) !== undefined) && get(body, input.dataset.pointer) === undefined) set(body, input.dataset.pointer, valueOf(input, zone));
      }
    }
    for (const input of inputs(form)) { // a determination that was emptied takes its companions along
      const anchor = input.dataset.onlyWith;
      if (original && anchor && input.dataset.pointer.startsWith("/water_contents/") && !anchor.split(" ").some((one) => get(body, one) !== undefined)) remove(body, input.dataset.pointer);
    }
    lists(form, body, original);
    return prune(body) || {};
  }

  function uuid() {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64; bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  return { build, placed, tidy, uuid, now, zoneOffset, pointerOf };
})();
