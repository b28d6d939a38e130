/* The plan inside the map's frame: ground (areas, placements, cells, alignment) and tests, each on one canvas.
   Rows come by address: ground as GeoJSON, tests as columns (maps/test_columns.py). Text reaches the page through textContent or fillText, never as markup. */
"use strict";

(function () {
  const PAD = 0.25; // of the view, drawn beyond each edge so that dragging shows no blank border
  const ORDER = ["voided", "no_result", "pass", "provisional", "passed_on_retest", "accepted", "on_hold", "fail", "buried_failure"];
  const INK = "#1d2730";
  const NOBODY = "00000000-0000-0000-0000-000000000000"; // stands for a test in an address
  /* Kinds of areas by word, dash and width first, by colour second; the legend in map.html draws the same. */
  const AREAS = {
    zone: { word: "zone", dash: [12, 5], width: 1.5, line: "#3a5a78", text: "#2b4a66" },
    exempt: { word: "exempt:", dash: [2, 4], width: 2, line: "#595959", text: "#404040" },
    overbuild: { word: "overbuild", dash: [10, 3, 2, 3], width: 1.5, line: "#7a4a00", text: "#6b4100" },
    surcharge: { word: "surcharge", dash: [10, 3, 2, 3, 2, 3], width: 1.5, line: "#7a4a00", text: "#6b4100" },
    keyway: { word: "keyway", dash: [4, 3], width: 2.5, line: "#5b3b73", text: "#4d2f65" },
  };

  /* Positions as Leaflet's world pixels at zoom 0; any other zoom is these times 2^zoom. */
  function world(map, place) {
    const point = map.project(L.latLng(place[1], place[0]), 0);
    return [point.x, point.y];
  }

  const Plan = L.Layer.extend({
    initialize(settings) {
      this.looks = settings.looks;
      this.simple = settings.simple;
      this.liftWord = settings.lift_word;
      this.ground = { areas: [], placements: [], lines: [], ticks: [], cells: [], locations: [], observations: [] };
      this.tests = [];
      this.shown = [];
      this.byId = new Map();
      this.stamps = new Map();
      this.selected = "";
      this.choice = { marks: null, from: "", to: "" };
    },

    onAdd(map) {
      this.map = map;
      this.low = this.canvas();
      this.high = this.canvas();
      map.on("moveend zoomend resize viewreset", this.draw, this);
      map.on("click", this.click, this);
      map.on("mousemove", this.hover, this);
      this.draw();
    },

    canvas() {
      const made = L.DomUtil.create("canvas", "plan-canvas leaflet-zoom-hide", this.map.getPane("overlayPane"));
      made.setAttribute("aria-hidden", "true");
      return made;
    },

    // ---- rows ------------------------------------------------------------------------------------
    setAreas(found) {
      this.ground.areas = found.features.map((feature) => this.outline(feature));
    },

    setPlacements(found) {
      this.ground.placements = found.features.map((feature) => this.outline(feature));
    },

    setObservations(found) {
      this.ground.observations = found.features.map((feature) => this.outline(feature));
    },

    outline(feature) {
      const ring = feature.geometry.coordinates[0].map((place) => world(this.map, place));
      return { ring, properties: feature.properties };
    },

    setAlignment(found) {
      const kept = (kind) => found.features.filter((feature) => feature.properties.kind === kind);
      const line = (feature) => ({
        points: feature.geometry.coordinates.map((place) => world(this.map, place)),
        properties: feature.properties,
      });
      this.ground.lines = kept("alignment").map(line);
      this.ground.ticks = kept("tick").map(line);
    },

    setCells(found) {
      this.ground.cells = found.features.map(({ geometry, properties }) => ({
        rings: geometry.coordinates.map((part) => part[0].map((place) => world(this.map, place))),
        properties,
      }));
    },

    setLocations(found) {
      this.ground.locations = found.features.map(({ geometry, properties }) => ({
        at: world(this.map, geometry.coordinates),
        place: geometry.coordinates,
        properties,
      }));
    },

    setTests(found) {
      this.tests = rowsOf(found).map(({ place, properties }) => ({ at: world(this.map, place), place, properties }));
      this.byId = new Map(this.tests.map((test) => [test.properties.uuid, test]));
      this.choose(this.choice);
    },

    /* The mark on a day: a failure that was mended later still fails on that day. */
    markOn(properties, day) {
      return day && properties.fails_until && day < properties.fails_until ? "fail" : properties.mark;
    },

    choose(choice) {
      this.choice = choice;
      const rank = new Map(ORDER.map((mark, place) => [mark, place]));
      const counts = {};
      const shown = [];
      for (const test of this.tests) {
        const day = test.properties.day;
        if ((choice.from && day < choice.from) || (choice.to && day > choice.to)) continue;
        const mark = this.markOn(test.properties, choice.to);
        counts[mark] = (counts[mark] || 0) + 1;
        if (choice.marks && !choice.marks.has(mark)) continue;
        test.mark = mark;
        shown.push(test);
      }
      shown.sort((a, b) => rank.get(a.mark) - rank.get(b.mark));
      this.shown = shown;
      this.draw();
      return { counts, shown };
    },

    // ---- drawing ---------------------------------------------------------------------------------
    draw() {
      const map = this.map;
      const size = map.getSize();
      if (!size.x || !size.y) return;
      const pad = size.multiplyBy(PAD).round();
      const origin = map.containerPointToLayerPoint(pad.multiplyBy(-1)).round();
      const factor = Math.pow(2, map.getZoom());
      const shift = map.getPixelOrigin().add(origin);
      this.ratio = Math.max(1, Math.min(3, window.devicePixelRatio || 1));
      this.width = size.x + 2 * pad.x;
      this.height = size.y + 2 * pad.y;
      this.view = { left: pad.x, top: pad.y, right: pad.x + size.x, bottom: pad.y + size.y };
      this.to = (at) => [at[0] * factor - shift.x, at[1] * factor - shift.y];
      this.pad = pad;
      const below = this.begin(this.low, origin);
      const above = this.begin(this.high, origin);
      this.drawGround(this.paper ? above : below);
      this.drawTests(above);
    },

    begin(canvas, origin) {
      L.DomUtil.setPosition(canvas, origin);
      canvas.width = Math.round(this.width * this.ratio);
      canvas.height = Math.round(this.height * this.ratio);
      canvas.style.width = this.width + "px";
      canvas.style.height = this.height + "px";
      const ctx = canvas.getContext("2d");
      ctx.scale(this.ratio, this.ratio);
      return ctx;
    },

    path(ctx, points, closed) {
      ctx.beginPath();
      points.forEach((at, number) => {
        const [x, y] = this.to(at);
        if (number) ctx.lineTo(x, y);
        else ctx.moveTo(x, y);
      });
      if (closed) ctx.closePath();
    },

    drawGround(ctx) {
      this.taken = [];
      // States are those of now; on an earlier day of the replay nothing is said of them.
      const now = { states: this.oneLift && !this.choice.to };
      const placed = this.ground.placements.filter(({ properties }) => !this.choice.to || properties.day <= this.choice.to);
      for (const placement of placed) window.liftCover.fill(ctx, this, placement, now);
      for (const { ring, properties } of this.ground.areas) {
        const exempt = properties.kind === "exempt";
        const look = AREAS[properties.kind] || AREAS.zone;
        this.path(ctx, ring, true);
        if (exempt) this.hatch(ctx);
        this.path(ctx, ring, true);
        ctx.setLineDash(look.dash);
        ctx.lineWidth = look.width;
        ctx.strokeStyle = look.line;
        ctx.stroke();
        ctx.setLineDash([]);
        const name = properties.name || properties.code;
        this.label(ctx, ring, `${look.word} ${name}`, look.text, 12, exempt);
      }
      if (now.states) window.liftCover.cells(ctx, this, this.ground.cells);
      if (placed.length <= 40) {
        for (const placement of placed) {
          const text = window.liftCover.words(placement, this.liftWord, now);
          this.label(ctx, placement.ring, text, window.liftCover.colourOf(placement, now), now.states ? 12 : 11, now.states);
        }
      }
      this.drawObservations(ctx);
      this.drawLines(ctx);
    },

    hatch(ctx) {
      ctx.save();
      ctx.clip();
      ctx.strokeStyle = "rgba(89, 89, 89, 0.55)";
      ctx.lineWidth = 1;
      ctx.setLineDash([]);
      ctx.beginPath();
      for (let x = -this.height; x < this.width; x += 9) {
        ctx.moveTo(x, this.height);
        ctx.lineTo(x + this.height, 0);
      }
      ctx.stroke();
      ctx.restore();
    },

    /* Proof rolls and observed areas: dotted, with their words beside the colour. */
    drawObservations(ctx) {
      for (const { ring, properties } of this.ground.observations) {
        const ink = properties.sound ? "#3d4f66" : "#a33c00";
        this.path(ctx, ring, true);
        ctx.setLineDash([2, 3]);
        ctx.lineWidth = 2;
        ctx.strokeStyle = ink;
        ctx.stroke();
        ctx.setLineDash([]);
        this.label(ctx, ring, `${properties.words}, ${properties.day}`, ink, 11);
      }
    },

    drawLines(ctx) {
      ctx.lineJoin = "round";
      for (const { points } of this.ground.lines) {
        this.path(ctx, points, false);
        ctx.lineWidth = 2;
        ctx.strokeStyle = INK;
        ctx.setLineDash([18, 4, 3, 4]);
        ctx.stroke();
        ctx.setLineDash([]);
      }
      // Ticks at right angles to the line, their stations written along it; thinned until they do not touch.
      const every = this.thinning();
      ctx.font = "600 12px system-ui, sans-serif";
      ctx.textBaseline = "middle";
      this.ground.ticks.forEach((tick, number) => {
        const [x, y] = this.to(tick.points[0]);
        if (x < 0 || y < 0 || x > this.width || y > this.height) return;
        const [aheadX, aheadY] = this.to(tick.points[1]);
        const along = Math.atan2(aheadY - y, aheadX - x);
        const major = number % every === 0;
        if (!major && every > 10) return;
        const half = major ? 9 : 5;
        ctx.lineWidth = 1.5;
        ctx.strokeStyle = INK;
        ctx.beginPath();
        ctx.moveTo(x - half * Math.sin(along), y + half * Math.cos(along));
        ctx.lineTo(x + half * Math.sin(along), y - half * Math.cos(along));
        ctx.stroke();
        if (!major) return;
        let turn = along;
        if (Math.cos(turn) < -0.001) turn += Math.PI;
        ctx.save();
        ctx.translate(x, y);
        ctx.rotate(turn);
        ctx.textAlign = "center";
        this.write(ctx, tick.properties.station, 0, 18, INK);
        ctx.restore();
      });
    },

    thinning() {
      const ticks = this.ground.ticks;
      if (ticks.length < 2) return 1;
      const [ax, ay] = this.to(ticks[0].points[0]);
      const [bx, by] = this.to(ticks[1].points[0]);
      const apart = Math.hypot(bx - ax, by - ay) || 1;
      return [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000].find((every) => every * apart >= 70) || 1000;
    },

    write(ctx, text, x, y, colour) {
      ctx.lineWidth = 3.5;
      ctx.strokeStyle = "rgba(255, 255, 255, 0.9)";
      ctx.lineJoin = "round";
      ctx.strokeText(text, x, y);
      ctx.fillStyle = colour;
      ctx.fillText(text, x, y);
    },

    /* The name of an area where it fits inside what can be seen of it and touches no other name; `anyway` writes
       it even where the area is narrower than its name. */
    label(ctx, ring, text, colour, px, anyway) {
      const corners = ring.map((at) => this.to(at));
      ctx.font = `600 ${px}px system-ui, sans-serif`;
      const wide = ctx.measureText(text).width + 10;
      const ys = corners.map((corner) => corner[1]);
      const top = Math.max(Math.min(...ys), this.view.top) + px;
      const bottom = Math.min(Math.max(...ys), this.view.bottom) - px;
      let spare = null;
      for (let y = top; y <= bottom; y += 6) {
        const span = this.within(corners, y - px / 2, y + px / 2);
        if (!span) continue;
        let x = Math.max(span[0], this.view.left) + 5;
        if (y < this.view.top + 125) x = Math.max(x, this.view.left + 66); // clear of the buttons
        const right = Math.min(span[1], this.view.right);
        const free = (at) => !this.taken.some((box) => at < box[2] && at + wide > box[0] && Math.abs(y - box[1]) < px + 3);
        if (right - x >= wide && free(x)) return this.name(ctx, text, x, y, wide, colour);
        const over = Math.max(Math.min((x + right - wide) / 2, this.view.right - wide), this.view.left + 5); // cut nowhere
        if (!spare && right - x >= 12 && free(over)) spare = [over, y];
      }
      if (anyway && spare) this.name(ctx, text, spare[0], spare[1], wide, colour);
    },

    name(ctx, text, x, y, wide, colour) {
      this.taken.push([x, y, x + wide]);
      ctx.textAlign = "left";
      ctx.textBaseline = "middle";
      this.write(ctx, text, x, y, colour);
    },

    /* The first stretch inside an outline that two horizontal lines have in common, or null. */
    within(corners, above, below) {
      const one = crossings(corners, above);
      const other = crossings(corners, below);
      if (one.length < 2 || other.length < 2) return null;
      const span = [Math.max(one[0], other[0]), Math.min(one[1], other[1])];
      return span[0] < span[1] ? span : null;
    },

    radius() {
      const seen = this.seen.length;
      if (seen > 4000) return 4.5;
      if (seen > 800) return 6;
      return 8;
    },

    drawTests(ctx) {
      this.seen = [];
      for (const test of this.shown) {
        const [x, y] = this.to(test.at);
        if (x < -20 || y < -20 || x > this.width + 20 || y > this.height + 20) continue;
        test.x = x;
        test.y = y;
        this.seen.push(test);
      }
      this.drawJoins(ctx);
      const r = this.radius();
      this.spots = this.choice.to || !this.oneLift ? [] : this.ground.locations;
      for (const spot of this.spots) {
        [spot.x, spot.y] = this.to(spot.at);
        window.liftCover.diamond(ctx, spot.x, spot.y, 9, spot.properties.state);
      }
      // In a crowd a mark that would fall on one of its own kind is not stamped again: nobody can see it.
      const crowded = this.seen.length > 2000;
      const stamped = new Set();
      for (const test of this.seen) {
        if (crowded) {
          const spot = `${test.mark}${Math.round(test.x / 3)},${Math.round(test.y / 3)}`;
          if (stamped.has(spot)) continue;
          stamped.add(spot);
        }
        const { picture, half } = this.stampOf(test.mark, r);
        ctx.drawImage(picture, test.x - half, test.y - half, 2 * half, 2 * half);
      }
      if (this.seen.length <= 150) this.drawNames(ctx, r);
      const chosen = this.seen.find((test) => test.properties.uuid === this.selected);
      if (chosen) {
        ctx.beginPath();
        ctx.arc(chosen.x, chosen.y, r + 7, 0, 2 * Math.PI);
        ctx.lineWidth = 3;
        ctx.strokeStyle = "#0072B2";
        ctx.stroke();
      }
    },

    stampOf(mark, r) {
      if (this.stampsFor !== `${r} ${this.ratio}`) {
        this.stamps.clear();
        this.stampsFor = `${r} ${this.ratio}`;
      }
      if (!this.stamps.has(mark)) this.stamps.set(mark, window.liftMarks.stamp(this.looks[mark], r, this.ratio));
      return this.stamps.get(mark);
    },

    /* A failure and its retests, joined. Two at the same spot get a short bracket beside it instead. */
    drawJoins(ctx) {
      const seen = new Set(this.seen);
      ctx.lineWidth = 1.5;
      ctx.strokeStyle = INK;
      ctx.setLineDash([5, 3]);
      for (const test of this.seen) {
        const parent = this.byId.get(test.properties.retest_of);
        if (!parent || !seen.has(parent)) continue;
        ctx.beginPath();
        if (Math.hypot(test.x - parent.x, test.y - parent.y) < 12) {
          ctx.arc(test.x, test.y, 13, 0, 2 * Math.PI);
        } else {
          ctx.moveTo(parent.x, parent.y);
          ctx.lineTo(test.x, test.y);
        }
        ctx.stroke();
      }
      ctx.setLineDash([]);
    },

    drawNames(ctx, r) {
      ctx.font = "11px system-ui, sans-serif";
      ctx.textAlign = "left";
      ctx.textBaseline = "middle";
      const boxes = this.seen.map((test) => [test.x - r, test.y - r, test.x + r, test.y + r]);
      for (const test of [...this.seen].reverse()) {
        const failing = test.mark === "fail" || test.mark === "buried_failure";
        const found = test.properties.percent || (test.properties.relative_density && `Dr ${test.properties.relative_density}`);
        const text = failing && found ? `${test.properties.label}: ${found} %` : test.properties.label;
        const wide = ctx.measureText(text).width + 2;
        const beside = [
          [test.x + r + 3, test.y],
          [test.x - r - 3 - wide, test.y],
          [test.x - wide / 2, test.y - r - 8],
          [test.x - wide / 2, test.y + r + 8],
        ];
        const free = beside.find(
          ([x, y]) => !boxes.some((other) => x < other[2] && x + wide > other[0] && y - 6 < other[3] && y + 6 > other[1]),
        );
        if (!free) continue;
        boxes.push([free[0], free[1] - 6, free[0] + wide, free[1] + 6]);
        this.write(ctx, text, free[0], free[1], INK);
      }
    },

    // ---- pointing --------------------------------------------------------------------------------
    near(containerPoint) {
      const x = containerPoint.x + this.pad.x;
      const y = containerPoint.y + this.pad.y;
      const reach = L.Browser.mobile ? 22 : 12;
      const found = (this.seen || [])
        .map((test) => ({ test, apart: Math.hypot(test.x - x, test.y - y) }))
        .filter((item) => item.apart <= reach)
        .sort((a, b) => a.apart - b.apart);
      if (!found.length) return [];
      const first = found[0].test;
      return found.filter((item) => Math.hypot(item.test.x - first.x, item.test.y - first.y) < 5).map((item) => item.test);
    },

    click(event) {
      const found = this.near(this.map.mouseEventToContainerPoint(event.originalEvent));
      if (found.length) return this.open(found);
      const spot = this.spotAt(this.map.mouseEventToContainerPoint(event.originalEvent));
      if (spot) this.popup(spot.place, this.planned(spot));
    },

    spotAt(containerPoint) {
      const apart = (spot) => Math.hypot(spot.x - containerPoint.x - this.pad.x, spot.y - containerPoint.y - this.pad.y);
      return (this.spots || []).find((spot) => apart(spot) <= (L.Browser.mobile ? 22 : 12));
    },

    hover(event) {
      const found = this.near(event.containerPoint).length > 0 || Boolean(this.spotAt(event.containerPoint));
      this.map.getContainer().classList.toggle("plan-pointing", found);
    },

    open(found) {
      this.selected = found[0].properties.uuid;
      this.draw();
      const box = document.createElement("div");
      box.className = "plan-story";
      found
        .slice()
        .sort((a, b) => (a.properties.day + a.properties.time < b.properties.day + b.properties.time ? -1 : 1))
        .slice(0, 6)
        .forEach((test) => box.append(this.story(test)));
      if (found.length > 6) box.append(element("p", `and ${found.length - 6} more at this spot`));
      this.popup(found[0].place, box);
    },

    popup(place, content) {
      return L.popup({ maxWidth: 300, maxHeight: 320, closeButton: true, autoPanPadding: [20, 20] })
        .setLatLng(L.latLng(place[1], place[0]))
        .setContent(content)
        .openOn(this.map);
    },

    planned(spot) {
      const it = spot.properties;
      const box = element("div");
      box.className = "plan-story";
      const facts = element("dl");
      for (const [term, text] of [["State", it.words], ["Place", [it.station, it.offset].filter(Boolean).join(", ")], ["Elevation", it.elevation], ["Substituted", it.substituted && "yes"]]) {
        if (text) facts.append(element("dt", term), element("dd", text));
      }
      const link = element("a", "Where to test");
      link.href = `${this.pages.locations}?${new URLSearchParams({ area: it.area, lift: it.lift })}`;
      link.target = "_top";
      box.append(element("h2", `Planned location, cell ${it.cell}`), facts, link);
      return box;
    },

    /* What is known at once; the rest comes by address and takes its place. */
    story(test) {
      const part = this.told(test);
      if (!test.whole && this.storyAddress) {
        rows(this.storyAddress.replace(NOBODY, encodeURIComponent(test.properties.uuid)))
          .then((found) => {
            test.whole = true;
            Object.assign(test.properties, found);
            part.replaceWith(this.told(test));
          })
          .catch(() => {}); // the link to the test's page stays
      }
      return part;
    },

    told(test) {
      const it = test.properties;
      const part = element("section");
      const head = element("h2");
      const icon = document.createElement("canvas");
      icon.width = icon.height = 24 * this.ratio;
      icon.className = "plan-icon";
      icon.setAttribute("aria-hidden", "true");
      const ctx = icon.getContext("2d");
      ctx.scale(this.ratio, this.ratio);
      window.liftMarks.draw(ctx, this.looks[test.mark || it.mark], 12, 12, 8);
      head.append(icon, element("span", `Test ${it.label}: ${this.looks[test.mark || it.mark].words}`));
      part.append(head);
      const facts = element("dl");
      const say = (term, text) => {
        if (text) facts.append(element("dt", term), element("dd", text));
      };
      say("Compaction", it.percent && `${it.percent} %` + (it.limit ? ` of ${it.limit} % required` : ""));
      say("Relative density", it.relative_density && `${it.relative_density} %` + (it.relative_density_limit ? ` of ${it.relative_density_limit} % required` : ""));
      say("Judged", it.margin);
      say("Place", [it.station, it.offset].filter(Boolean).join(", "));
      say("Lift", [it.lift, it.zone && `zone ${it.zone}`].filter(Boolean).join(", "));
      say("When", `${it.day} ${it.time}`);
      say("By", it.technician);
      say("Reference", it.reference);
      const parent = it.retest_of && this.byId.get(it.retest_of);
      say("Retest of", it.retest_of && (parent ? `test ${parent.properties.label}` : "a test not shown here"));
      const later = this.tests.filter((other) => other.properties.retest_of === it.uuid);
      say("Retested by", later.map((other) => `test ${other.properties.label}`).join(", "));
      say("Failure", it.failure);
      say("On hold", it.holds);
      say("Amended", it.version && `version ${it.version}`);
      part.append(facts);
      if (this.testPage) {
        const link = element("a", `Open test ${it.label}`);
        link.href = this.testPage.replace(NOBODY, encodeURIComponent(it.uuid));
        link.target = "_top";
        part.append(link);
      }
      return part;
    },

    /* Tests shown, and the fill of the lift where one is chosen: its untested end belongs to the picture. */
    extent() {
      const places = this.shown.map((test) => L.latLng(test.place[1], test.place[0]));
      const corners = this.oneLift ? this.ground.placements.flatMap(({ ring }) => ring) : [];
      const all = [...places, ...corners.map((at) => this.map.unproject(L.point(at), 0))];
      return all.length ? L.latLngBounds(all) : null;
    },
  });

  function crossings(corners, y) {
    const found = [];
    for (let number = 0; number < corners.length; number += 1) {
      const [ax, ay] = corners[number];
      const [bx, by] = corners[(number + 1) % corners.length];
      if (ay > y !== by > y) found.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
    }
    return found.sort((a, b) => a - b);
  }

  function element(name, text) {
    const made = document.createElement(name);
    if (text !== undefined) made.textContent = String(text);
    return made;
  }

  /* Tests from columns: see maps/test_columns.py. */
  function rowsOf(found) {
    const { columns, origin, step, marks, days, limits, stations, offsets } = found;
    const text = (value) => (value === null || value === undefined ? "" : String(value));
    const two = (number) => String(number).padStart(2, "0");
    const uuids = [];
    for (let at = 0; at < found.uuids.length; at += 32) {
      const hex = found.uuids.slice(at, at + 32);
      uuids.push(`${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`);
    }
    return uuids.map((uuid, number) => {
      const minute = columns.minute[number];
      const parent = found.retest_of[number];
      return {
        place: [origin[0] + columns.x[number] * step, origin[1] + columns.y[number] * step],
        properties: {
          uuid,
          label: columns.label[number] || uuid.slice(0, 8),
          mark: marks[columns.mark[number]],
          day: days[columns.day[number]],
          time: `${two(Math.floor(minute / 60))}:${two(minute % 60)}`,
          lift: columns.lift[number],
          percent: text(columns.percent[number]),
          limit: text(limits[columns.limit[number]]),
          relative_density: columns.relative_density ? text(columns.relative_density[number]) : "",
          relative_density_limit: columns.relative_density ? text(limits[columns.relative_density_limit[number]]) : "",
          station: stations[columns.station[number]],
          offset: offsets[columns.offset[number]],
          fails_until: found.fails_until[number],
          retest_of: typeof parent === "number" ? uuids[parent] : parent,
        },
      };
    });
  }

  async function rows(address) {
    const answer = await fetch(address, { credentials: "same-origin", headers: { Accept: "application/geo+json" } });
    if (!answer.ok || answer.redirected) throw new Error(`The map's data did not come (${answer.status}). Load the page again.`);
    return answer.json();
  }

  /* Called by the frame's script. Returns what the page around the frame steers the plan with. */
  window.drawSitePlan = function (map, settings) {
    const plan = new Plan(settings);
    plan.testPage = settings.layers.test_page;
    plan.storyAddress = settings.layers.story;
    plan.pages = { lift: settings.layers.lift_page, locations: settings.layers.locations_page };
    const site = settings.bounds && L.latLngBounds(settings.bounds);
    let asked = 0;
    const closest = settings.simple ? 4 : 21;
    const fit = (bounds) => bounds && map.fitBounds(bounds, { padding: [30, 30], maxZoom: closest, animate: false });
    if (site) fit(site);
    map.attributionControl && map.attributionControl.setPrefix(false);
    plan.addTo(map);
    // Leaflet focuses the map on a press. Without this the page around the frame scrolls under the pointer, and the
    // click lands beside the mark.
    const box = map.getContainer();
    box.focus = () => HTMLElement.prototype.focus.call(box, { preventScroll: true });
    // Leaflet's own buttons and the keyboard (arrows, plus, minus) move the map; this says so to a screen reader.
    box.setAttribute("role", "application");
    box.setAttribute("aria-label", "Map of tests. Arrow keys move it, plus and minus change the scale.");

    const api = {
      map,
      plan,
      ready: false,
      failed: "",
      withoutPlace: 0,
      listener: null,
      tell() {
        if (api.listener) api.listener();
      },
      async load(lift, { keepView = false } = {}) {
        const mine = ++asked;
        api.ready = false;
        const query = `?lift=${encodeURIComponent(lift)}`;
        try {
          // Tests and fill first; what takes longer joins them.
          const [tests, placements] = await Promise.all([rows(settings.layers.tests + query), rows(settings.layers.placements + query)]);
          if (mine !== asked) return; // a later choice overtook this one
          plan.oneLift = lift !== "all";
          plan.setPlacements(placements);
          for (const name of ["setCells", "setLocations", "setObservations"]) plan[name]({ features: [] });
          plan.setTests(tests);
          api.withoutPlace = tests.without_place;
          api.failed = "";
          if (!keepView) api.fitTests();
          api.ready = true;
          map.closePopup();
          api.tell();
          await api.loadMore(query, () => mine === asked);
        } catch (error) {
          if (mine !== asked) return;
          api.failed = error.message;
        }
        if (mine !== asked) return;
        api.ready = true;
        api.tell();
      },
      /* Cells and locations of a lift (of all at once they would say nothing), and what was only observed. */
      async loadMore(query, wanted) {
        const none = { features: [] };
        const of = (address, only) => (address && (plan.oneLift || !only) ? rows(address + query) : none);
        const { cells, locations, observations } = settings.layers;
        const [parted, planned, observed] = await Promise.all([of(cells, true), of(locations, true), of(observations, false)]);
        if (!wanted()) return;
        plan.setCells(parted);
        plan.setLocations(planned);
        plan.setObservations(observed);
        plan.draw();
      },
      choose: (choice) => plan.choose(choice),
      /* Close to one place, given as bounds. */
      look: (bounds) => fit(L.latLngBounds(bounds)),
      /* How many cells and locations there are in each state, and the placements by state. */
      ground() {
        const count = (found) => found.reduce((sum, { properties }) => ({ ...sum, [properties.state]: (sum[properties.state] || 0) + 1 }), {});
        return { cells: count(plan.ground.cells), locations: count(plan.ground.locations), placements: plan.ground.placements.map((one) => one.properties) };
      },
      fitSite: () => fit(site || plan.extent()),
      fitTests() {
        const extent = plan.extent();
        if (extent) fit(extent.pad(0.08));
        else if (site) fit(site);
      },
      show(uuid) {
        const test = plan.byId.get(uuid);
        if (!test) return;
        map.setView(L.latLng(test.place[1], test.place[0]), Math.max(map.getZoom(), settings.simple ? 2 : 19), { animate: false });
        plan.open([test]);
      },
      /* Chromium prints the upper canvas and loses the lower one, so on paper both are drawn on one. */
      resized({ paper = false } = {}) {
        plan.paper = paper;
        map.invalidateSize({ animate: false, pan: false });
        plan.draw();
      },
    };
    const groundRows = Promise.all([rows(settings.layers.areas), rows(settings.layers.alignment)])
      .then(([areas, alignment]) => {
        plan.setAreas(areas);
        plan.setAlignment(alignment);
        plan.draw();
      })
      .catch((error) => {
        api.failed = error.message;
        api.tell();
      });
    api.load(settings.lift || "all").then(() => groundRows).then(() => document.documentElement.classList.add("plan-ready"));
    return api;
  };
})();
