/* The marks, drawn on a canvas: shape first, colour second. Every shape is outlined in white so that it stands out
   from hatching and from its neighbours. Used by the map's frame and by the legend. */
"use strict";

window.liftMarks = (function () {
  function disc(ctx, x, y, r) {
    ctx.beginPath();
    ctx.arc(x, y, r, 0, 2 * Math.PI);
  }

  function saltire(ctx, x, y, r) {
    ctx.beginPath();
    ctx.moveTo(x - r, y - r);
    ctx.lineTo(x + r, y + r);
    ctx.moveTo(x + r, y - r);
    ctx.lineTo(x - r, y + r);
  }

  function stroke(ctx, width, colour) {
    ctx.lineWidth = width;
    ctx.strokeStyle = colour;
    ctx.stroke();
  }

  function heavySaltire(ctx, x, y, r, colour, halo) {
    ctx.lineCap = "butt";
    saltire(ctx, x, y, r * 0.95);
    if (halo) stroke(ctx, r * 0.62 + 2.5, "#fff");
    stroke(ctx, r * 0.62, colour);
  }

  const shapes = {
    disc(ctx, x, y, r, colour) {
      disc(ctx, x, y, r * 0.9);
      stroke(ctx, 2.5, "#fff");
      ctx.fillStyle = colour;
      ctx.fill();
    },
    saltire(ctx, x, y, r, colour) {
      heavySaltire(ctx, x, y, r, colour, true);
    },
    half_disc(ctx, x, y, r, colour) {
      disc(ctx, x, y, r * 0.9);
      stroke(ctx, 4, "#fff");
      ctx.fillStyle = "#fff";
      ctx.fill();
      ctx.beginPath();
      ctx.arc(x, y, r * 0.9, Math.PI / 2, 1.5 * Math.PI);
      ctx.closePath();
      ctx.fillStyle = colour;
      ctx.fill();
      disc(ctx, x, y, r * 0.9);
      stroke(ctx, Math.max(1.5, r * 0.22), colour);
    },
    barred_disc(ctx, x, y, r, colour) {
      disc(ctx, x, y, r);
      stroke(ctx, 2.5, "#fff");
      ctx.fillStyle = colour;
      ctx.fill();
      ctx.fillStyle = "#fff";
      ctx.fillRect(x - r * 0.5, y - r * 0.55, r * 0.32, r * 1.1);
      ctx.fillRect(x + r * 0.18, y - r * 0.55, r * 0.32, r * 1.1);
    },
    ringed_disc(ctx, x, y, r, colour) {
      disc(ctx, x, y, r);
      stroke(ctx, 4.5, "#fff");
      ctx.fillStyle = "#fff";
      ctx.fill();
      disc(ctx, x, y, r);
      stroke(ctx, Math.max(1.5, r * 0.24), colour);
      disc(ctx, x, y, r * 0.5);
      ctx.fillStyle = colour;
      ctx.fill();
    },
    open_square(ctx, x, y, r, colour) {
      ctx.lineJoin = "miter";
      ctx.beginPath();
      ctx.rect(x - r * 0.8, y - r * 0.8, r * 1.6, r * 1.6);
      stroke(ctx, r * 0.28 + 2.5, "#fff");
      ctx.fillStyle = "#fff";
      ctx.fill();
      stroke(ctx, Math.max(1.5, r * 0.28), colour);
    },
    boxed_saltire(ctx, x, y, r, colour) {
      ctx.lineJoin = "miter";
      ctx.beginPath();
      ctx.rect(x - r, y - r, r * 2, r * 2);
      stroke(ctx, 4.5, "#fff");
      ctx.fillStyle = "#fff";
      ctx.fill();
      stroke(ctx, Math.max(1.5, r * 0.24), "#000");
      heavySaltire(ctx, x, y, r * 0.68, colour, false);
    },
    struck_circle(ctx, x, y, r, colour) {
      disc(ctx, x, y, r * 0.55);
      stroke(ctx, 4, "#fff");
      stroke(ctx, 1.5, colour);
      ctx.beginPath();
      ctx.moveTo(x - r * 0.75, y + r * 0.75);
      ctx.lineTo(x + r * 0.75, y - r * 0.75);
      stroke(ctx, 1.5, colour);
    },
    open_circle(ctx, x, y, r, colour) {
      disc(ctx, x, y, r * 0.75);
      stroke(ctx, 4, "#fff");
      ctx.fillStyle = "#fff";
      ctx.fill();
      stroke(ctx, 1.5, colour);
    },
  };

  /* Draw one mark; r is its half width in CSS pixels. An unknown shape is drawn as a circle, never left out. */
  function draw(ctx, look, x, y, r) {
    (shapes[look.shape] || shapes.open_circle)(ctx, x, y, r, look.colour);
  }

  /* The same as a picture of its own, drawn once and stamped often. */
  function stamp(look, r, ratio) {
    const half = Math.ceil(r + 4);
    const picture = document.createElement("canvas");
    picture.width = picture.height = 2 * half * ratio;
    const ctx = picture.getContext("2d");
    ctx.scale(ratio, ratio);
    draw(ctx, look, half, half, r);
    return { picture, half };
  }

  return { draw, stamp, shapes: Object.keys(shapes) };
})();
