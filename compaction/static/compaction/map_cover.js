/* Coverage on the plan: fill by state (hatching, sign and number first, colour second), cells without a test,
   planned locations. Used by the map's frame; the legend in map.html draws the same. */
"use strict";

window.liftCover = (function () {
  const STATES = {
    open: { line: "#5f4924", dash: [6, 4], fill: "rgba(120, 94, 48, 0.08)", hatch: null, sign: "" },
    short: { line: "#8a5d00", dash: [], fill: "rgba(230, 159, 0, 0.10)", hatch: { colour: "rgba(160, 105, 0, 0.55)", both: false, apart: 11 }, sign: "" },
    failed: { line: "#D55E00", dash: [], fill: "rgba(213, 94, 0, 0.08)", hatch: { colour: "rgba(213, 94, 0, 0.50)", both: true, apart: 12 }, sign: "\u2715 " },
    released: { line: "#00553e", dash: [], fill: "rgba(0, 158, 115, 0.14)", hatch: null, sign: "\u2713 " },
  };
  const PLAIN = { line: "rgba(95, 73, 36, 0.75)", dash: [], fill: "rgba(120, 94, 48, 0.10)", hatch: null, sign: "" };
  const BLUE = "#0072B2";
  const RED = "#D55E00";

  function strokes(ctx, plan, { colour, both, apart }) {
    ctx.strokeStyle = colour;
    ctx.lineWidth = 1;
    ctx.setLineDash([]);
    ctx.beginPath();
    for (let x = -plan.height; x < plan.width + plan.height; x += apart) {
      ctx.moveTo(x, plan.height);
      ctx.lineTo(x + plan.height, 0);
      if (both) {
        ctx.moveTo(x, 0);
        ctx.lineTo(x + plan.height, plan.height);
      }
    }
    ctx.stroke();
  }

  /* Fill as placed. On an earlier day of the replay, or with all lifts at once, nothing is said of states. */
  function fill(ctx, plan, placement, { states }) {
    const look = (states && STATES[placement.properties.state]) || PLAIN;
    plan.path(ctx, placement.ring, true);
    ctx.fillStyle = look.fill;
    ctx.fill();
    if (look.hatch) {
      ctx.save();
      ctx.clip();
      strokes(ctx, plan, look.hatch);
      ctx.restore();
      plan.path(ctx, placement.ring, true);
    }
    ctx.setLineDash(look.dash);
    ctx.lineWidth = states ? 1.8 : 1;
    ctx.strokeStyle = look.line;
    ctx.stroke();
    ctx.setLineDash([]);
  }

  /* "✕ lift 4: failed, 3 pass, 4 required" */
  function words(placement, liftWord, { states }) {
    const it = placement.properties;
    if (!states || !it.state) return `${liftWord} ${it.lift}, placed ${it.day}`;
    const over = it.over_unreleased ? ", over unreleased" : "";
    return `${STATES[it.state].sign}${it.area} ${liftWord} ${it.lift}: ${it.state}, ${it.passing} pass, ${it.required === null ? "?" : it.required} required${over}`;
  }

  function colourOf(placement, { states }) {
    return (states && { failed: "#8f3f00", short: "#6b4a00", released: "#00553e" }[placement.properties.state]) || "#5f4924";
  }

  /* Cells with a dashed outline where no test counts, crossed where one fails; those tested are only parted. */
  function cells(ctx, plan, found) {
    for (const { rings, properties } of found) {
      const untested = properties.state === "untested";
      const failing = properties.state === "failing";
      for (const ring of rings) {
        plan.path(ctx, ring, true);
        ctx.setLineDash(untested ? [7, 5] : failing ? [] : [1, 5]);
        ctx.lineWidth = untested || failing ? 2 : 1;
        ctx.strokeStyle = untested ? BLUE : failing ? RED : "rgba(29, 39, 48, 0.5)";
        ctx.stroke();
      }
      ctx.setLineDash([]);
      if (!untested && !failing) continue;
      const [x, y] = middle(plan, rings[0]);
      if (x < 0 || y < 0 || x > plan.width || y > plan.height || span(plan, rings[0]) < 22) continue;
      ctx.font = "600 12px system-ui, sans-serif";
      ctx.textAlign = "center";
      ctx.textBaseline = "middle";
      plan.write(ctx, String(properties.cell), x, y, untested ? BLUE : "#8f3f00");
    }
  }

  function corners(plan, ring) {
    return ring.map((at) => plan.to(at));
  }

  function middle(plan, ring) {
    const all = corners(plan, ring);
    const sum = all.reduce((total, [x, y]) => [total[0] + x, total[1] + y], [0, 0]);
    return [sum[0] / all.length, sum[1] / all.length];
  }

  function span(plan, ring) {
    const all = corners(plan, ring);
    const wide = (axis) => Math.max(...all.map((at) => at[axis])) - Math.min(...all.map((at) => at[axis]));
    return Math.min(wide(0), wide(1));
  }

  /* A planned location: a dotted diamond, ticked once it is done. */
  function diamond(ctx, x, y, r, state) {
    ctx.beginPath();
    ctx.moveTo(x, y - r);
    ctx.lineTo(x + r, y);
    ctx.lineTo(x, y + r);
    ctx.lineTo(x - r, y);
    ctx.closePath();
    ctx.fillStyle = "rgba(255, 255, 255, 0.85)";
    ctx.fill();
    ctx.setLineDash(state === "open" ? [2, 2] : []);
    ctx.lineWidth = state === "open" ? 2 : 1;
    ctx.strokeStyle = state === "open" ? BLUE : "#595959";
    ctx.stroke();
    ctx.setLineDash([]);
    if (state === "open") return;
    ctx.beginPath();
    ctx.moveTo(x - r * 0.4, y);
    ctx.lineTo(x - r * 0.1, y + r * 0.35);
    ctx.lineTo(x + r * 0.45, y - r * 0.35);
    ctx.stroke();
  }

  return { fill, words, colourOf, cells, diamond, STATES };
})();
