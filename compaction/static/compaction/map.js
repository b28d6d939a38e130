/* The page around the map: choice of lift, marks and days; legend that counts; replay; the same as a table. */
"use strict";

(function () {
  const page = document.getElementById("map-page");
  const frame = document.getElementById("map-frame");
  const lift = document.getElementById("map-lift");
  const level = document.getElementById("map-level"); // the same choice as a slider, rising as in the ground
  const from = document.getElementById("map-from");
  const to = document.getElementById("map-to");
  const slider = document.getElementById("map-day");
  const sliderText = document.getElementById("map-day-text");
  const play = document.getElementById("map-play");
  const said = document.getElementById("map-said");
  const table = document.getElementById("map-rows");
  const tableNote = document.getElementById("map-rows-note");
  const list = document.getElementById("map-list");
  const profile = document.getElementById("map-profile");
  const stands = document.getElementById("map-stands");
  const legend = [...document.querySelectorAll("[data-mark]")];
  const MOST_ROWS = 100;
  let site = null;
  let days = [];
  let timer = 0;

  function choice() {
    return {
      marks: new Set(legend.filter((box) => box.checked).map((box) => box.dataset.mark)),
      from: from.value,
      to: to.value,
    };
  }

  function show({ announce = true } = {}) {
    if (!site || !site.ready) return;
    const { counts, shown } = site.choose(choice());
    let all = 0;
    for (const box of legend) {
      const number = counts[box.dataset.mark] || 0;
      all += number;
      document.getElementById(`count-${box.dataset.mark}`).textContent = number;
      box.closest("li").classList.toggle("map-none", number === 0);
    }
    if (announce) {
      const words = legend
        .map((box) => [counts[box.dataset.mark] || 0, box.dataset.words, box.checked])
        .filter(([number, , checked]) => number && checked)
        .map(([number, text]) => `${number} ${text}`);
      const place = lift.value === "all" ? `All ${page.dataset.liftsWord}` : `${page.dataset.liftWord} ${lift.value}`;
      const noPlace = site.withoutPlace ? ` ${site.withoutPlace} more have no position; see the list.` : "";
      said.textContent = site.failed || `${place}: ${shown.length} of ${all} tests shown${words.length ? ": " + words.join(" · ") : ""}.${noPlace}`;
      fillTable(shown);
    }
    sayGround();
    sayDay();
    remember();
  }

  /* Cells, locations and the state of the fill: counted in the legend, told in words. */
  function sayGround() {
    const { cells, locations, placements } = site.ground();
    const put = (name, number) => (document.getElementById(`count-${name}`).textContent = number || 0);
    put("untested", cells.untested);
    put("failing-cell", cells.failing);
    put("planned", locations.open);
    const states = {};
    const groups = new Map(placements.map((one) => [`${one.area} ${one.lift}`, one]));
    for (const one of groups.values()) states[one.state] = (states[one.state] || 0) + 1;
    for (const state of ["open", "short", "failed", "released"]) put(`lift-${state}`, states[state]);
    if (lift.value === "all") {
      stands.textContent = "";
      return;
    }
    stands.replaceChildren(
      ...[...groups.values()]
        .filter((one) => one.state)
        .map((one) => {
          const item = document.createElement("li");
          const link = document.createElement("a");
          link.href = `${page.dataset.lifts}${encodeURIComponent(one.area)}/${one.lift}`;
          link.textContent = `${one.area} ${page.dataset.liftWord.toLowerCase()} ${one.lift}`;
          const state = document.createElement("span");
          state.className = `lift-state ${one.state}`;
          state.textContent = one.state;
          const required = one.required === null ? "number required not known" : `${one.required} required`;
          item.append(link, " ", state, ` ${one.passing} pass, ${required}${one.short ? `, ${one.short} missing` : ""}${one.over_unreleased ? "; placed over one not released" : ""}`);
          return item;
        }),
    );
  }

  function fillTable(shown) {
    const ordered = shown.slice().sort((a, b) => (a.properties.day + a.properties.time < b.properties.day + b.properties.time ? 1 : -1));
    table.replaceChildren(
      ...ordered.slice(0, MOST_ROWS).map((test) => {
        const it = test.properties;
        const row = document.createElement("tr");
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = `Show ${it.label}`;
        button.addEventListener("click", () => {
          site.show(it.uuid);
          frame.scrollIntoView({ block: "nearest" });
        });
        const first = document.createElement("td");
        first.append(button);
        row.append(first);
        for (const text of [
          site.plan.looks[test.mark].words,
          it.percent ? `${it.percent} %` + (it.limit ? ` of ${it.limit} %` : "") : "",
          it.relative_density ? `${it.relative_density} %` + (it.relative_density_limit ? ` of ${it.relative_density_limit} %` : "") : "",
          [it.station, it.offset].filter(Boolean).join(", "),
          it.lift === null ? "" : it.lift,
          `${it.day} ${it.time}`,
        ]) {
          const cell = document.createElement("td");
          cell.textContent = text;
          row.append(cell);
        }
        return row;
      }),
    );
    tableNote.textContent = shown.length > MOST_ROWS ? `The newest ${MOST_ROWS} of ${shown.length} are here; the list has all.` : "";
  }

  /* The days on which something was tested: the steps of the slider. */
  function findDays() {
    days = [...new Set(site.plan.tests.map((test) => test.properties.day))].sort();
    slider.max = Math.max(0, days.length - 1);
    slider.disabled = play.disabled = days.length < 2;
    placeSlider();
  }

  function placeSlider() {
    const upTo = to.value ? days.filter((day) => day <= to.value).length - 1 : days.length - 1;
    slider.value = Math.max(0, upTo);
    sayDay();
  }

  function sayDay() {
    const day = days[Number(slider.value)];
    const last = Number(slider.value) === days.length - 1;
    sliderText.textContent = day ? `up to ${day}${last ? " (the last day)" : ""}` : "no tests";
    slider.setAttribute("aria-valuetext", sliderText.textContent);
  }

  function slide({ announce = true } = {}) {
    const last = Number(slider.value) === days.length - 1;
    to.value = last ? "" : days[Number(slider.value)] || "";
    show({ announce });
  }

  function stop() {
    window.clearInterval(timer);
    timer = 0;
    play.textContent = "Replay";
  }

  play.addEventListener("click", () => {
    if (timer) {
      stop();
      show();
      return;
    }
    if (Number(slider.value) >= days.length - 1) slider.value = 0;
    slide({ announce: false });
    play.textContent = "Stop";
    timer = window.setInterval(() => {
      slider.value = Number(slider.value) + 1;
      const last = Number(slider.value) >= days.length - 1;
      slide({ announce: last });
      if (last) stop();
    }, Math.max(120, Math.min(600, 12000 / days.length)));
  });

  /* The address says what is shown, so it can be sent to somebody; the list gets the same choice. */
  function remember() {
    const query = new URLSearchParams();
    query.set("lift", lift.value);
    const hidden = legend.filter((box) => !box.checked).map((box) => box.dataset.mark);
    if (hidden.length) query.set("hide", hidden.join(","));
    if (from.value) query.set("from", from.value);
    if (to.value) query.set("to", to.value);
    window.history.replaceState(null, "", `?${query}`);
    if (list && list.dataset.address) {
      const same = new URLSearchParams();
      if (lift.value !== "all") same.set("lift", lift.value);
      if (from.value) same.set("from", from.value);
      if (to.value) same.set("to", to.value);
      list.href = `${list.dataset.address}?${same}`;
    }
  }

  function steer() {
    const inside = frame.contentWindow;
    if (!inside || !inside.sitePlan || site === inside.sitePlan) return;
    site = inside.sitePlan;
    site.listener = () => {
      if (page.dataset.look) site.look(JSON.parse(page.dataset.look));
      delete page.dataset.look; // once: another lift is another question
      if (profile && !profile.getAttribute("src")) profile.src = `${profile.dataset.address}?lift=${lift.value}`; // after the map
      findDays();
      if (site.failed) said.textContent = site.failed;
      show();
    };
    if (site.ready) site.listener();
  }

  const rising = [...lift.options].map((option) => option.value).filter((value) => value !== "all").reverse();

  function placeLevel() {
    if (!level) return;
    const at = rising.indexOf(lift.value);
    if (at >= 0) level.value = at;
    level.setAttribute("aria-valuetext", lift.selectedOptions.length ? lift.selectedOptions[0].text : "");
  }

  if (level) {
    level.addEventListener("input", () => {
      lift.value = rising[Number(level.value)];
      placeLevel();
    });
    level.addEventListener("change", () => lift.dispatchEvent(new Event("change")));
  }
  placeLevel();

  frame.addEventListener("load", steer);
  steer();
  lift.addEventListener("change", () => {
    stop();
    placeLevel();
    said.textContent = "Loading …";
    if (site) site.load(lift.value);
    if (profile) profile.src = `${profile.dataset.address}?lift=${lift.value}`;
  });
  for (const box of legend) box.addEventListener("change", () => show());
  for (const input of [from, to]) {
    input.addEventListener("change", () => {
      placeSlider();
      show();
    });
  }
  slider.addEventListener("input", () => slide({ announce: false }));
  slider.addEventListener("change", () => slide());
  document.getElementById("map-fit").addEventListener("click", () => site && site.fitTests());
  document.getElementById("map-site").addEventListener("click", () => site && site.fitSite());

  /* On paper the map gets the size of the sheet before it is drawn for it. */
  function toPaper() {
    page.classList.add("map-paper");
    document.getElementById("map-paper-said").textContent = said.textContent;
    if (!site) return;
    site.resized({ paper: true });
    site.fitTests();
  }

  function fromPaper() {
    page.classList.remove("map-paper");
    if (site) site.resized();
  }

  window.addEventListener("beforeprint", toPaper);
  window.addEventListener("afterprint", fromPaper);
  document.getElementById("map-print").addEventListener("click", () => window.print());
})();
