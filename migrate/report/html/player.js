"use strict";
// Plays blades in step from pictures of their light: a row is 20 ms, a column a pixel. One player runs at a time.
// Nothing moves until the reader starts it.
const Player = (() => {
  const RATE = 50, HILT = 92, CORE = 9;
  let running = null;

  const toLight = new Float64Array(256);
  for (let k = 0; k < 256; k++) toLight[k] = k <= 10.31475 ? k / 255 / 12.92 : ((k / 255 + 0.055) / 1.055) ** 2.4;
  // Exposure acts on light, so codes are decoded, scaled and coded again (IEC 61966-2-1).
  const exposed = (exposure) => Uint8ClampedArray.from(toLight, (light) => {
    const c = Math.min(1, light * exposure);
    return Math.round(255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055));
  });

  async function framesOf(image) {
    if (image.decode) await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = image.naturalWidth;
    canvas.height = image.naturalHeight;
    const context = canvas.getContext("2d", { willReadFrequently: true });
    context.drawImage(image, 0, 0);
    return { pixels: canvas.width, count: canvas.height, data: context.getImageData(0, 0, canvas.width, canvas.height).data };
  }

  class Player {
    constructor(root) {
      this.root = root;
      this.blades = [...root.querySelectorAll("canvas[data-side]")];
      this.play = root.querySelector("[data-play]");
      this.bar = root.querySelector("[data-time]");
      this.clock = root.querySelector("[data-clock]");
      this.speed = root.querySelector("[data-speed]");
      this.light = root.querySelector("[data-light]");
      this.loop = root.querySelector("[data-loop]");
      this.sides = {};
      this.frame = 0;
      this.count = 1;
      this.row = document.createElement("canvas");
      this.table = exposed(1);
      this.onframe = null;
      if (matchMedia("(prefers-reduced-motion: reduce)").matches && this.speed) this.speed.value = "0.25";
      this.play.addEventListener("click", () => (this.playing ? this.stop() : this.start()));
      this.bar.addEventListener("input", () => this.seek(Number(this.bar.value)));
      this.light?.addEventListener("change", () => { this.table = exposed(Number(this.light.value)); this.draw(); });
      this.speed?.addEventListener("change", () => this.playing && this.start());
      new ResizeObserver(() => this.draw()).observe(this.blades[0]);
    }

    get playing() { return running === this; }
    get seconds() { return this.frame / RATE; }

    // `images` maps a side to an <img> of its light; the blades that have none are hidden.
    async load(images) {
      const sides = {};
      for (const [side, image] of Object.entries(images)) if (image) sides[side] = await framesOf(image);
      this.sides = sides;
      this.count = Math.max(1, ...Object.values(sides).map((s) => s.count));
      this.bar.max = this.count - 1;
      for (const blade of this.blades) blade.closest("figure").hidden = !sides[blade.dataset.side];
      this.seek(Math.min(this.frame, this.count - 1));
    }

    start() {
      if (running && running !== this) running.stop();
      running = this;
      this.play.textContent = "Pause";
      if (this.frame >= this.count - 1) this.frame = 0;
      const from = this.frame, began = performance.now(), speed = Number(this.speed?.value || 1), token = (this.token = {});
      const step = (now) => {
        if (this.token !== token) return;
        let frame = from + Math.floor(((now - began) / 1000) * RATE * speed);
        if (frame >= this.count) {
          if (!this.loop?.checked) { this.seek(this.count - 1, true); return this.stop(); }
          frame %= this.count;
        }
        this.seek(Math.max(0, frame), true);
        requestAnimationFrame(step);
      };
      requestAnimationFrame(step);
    }

    stop() {
      this.token = null;
      if (running === this) running = null;
      this.play.textContent = "Play";
    }

    seek(frame, going = false) {
      this.frame = frame;
      this.bar.value = frame;
      const said = `${this.seconds.toFixed(2)} s`;
      this.bar.setAttribute("aria-valuetext", said);
      this.clock.value = said;
      this.draw();
      if (this.onframe) this.onframe(this.seconds);
      if (this.playing && !going) this.start();
    }

    draw() {
      for (const blade of this.blades) {
        const side = this.sides[blade.dataset.side];
        if (side) this.drawBlade(blade, side);
      }
    }

    drawBlade(blade, side) {
      const ratio = Math.min(2, devicePixelRatio || 1);
      const wide = blade.clientWidth || 800, high = blade.clientHeight || 74;
      if (blade.width !== Math.round(wide * ratio)) { blade.width = Math.round(wide * ratio); blade.height = Math.round(high * ratio); }
      const context = blade.getContext("2d");
      context.setTransform(ratio, 0, 0, ratio, 0, 0);
      context.clearRect(0, 0, wide, high);
      const hilt = wide < 500 ? 54 : HILT, left = hilt - 4, long = wide - left - 18, middle = high / 2;
      this.row.width = side.pixels;
      this.row.height = 1;
      const row = this.row.getContext("2d"), cells = row.createImageData(side.pixels, 1);
      const at = Math.min(this.frame, side.count - 1) * side.pixels * 4;
      for (let k = 0; k < cells.data.length; k++) cells.data[k] = k % 4 === 3 ? 255 : this.table[side.data[at + k]];
      row.putImageData(cells, 0, 0);
      context.save();
      context.filter = "blur(11px)";
      context.globalAlpha = 0.55;
      context.drawImage(this.row, left, middle - CORE - 3, long, 2 * CORE + 6);
      context.restore();
      context.save();
      context.beginPath();
      context.roundRect(left, middle - CORE, long, 2 * CORE, [0, CORE, CORE, 0]);
      context.fillStyle = "#05080a";
      context.fill();
      context.clip();
      context.imageSmoothingEnabled = false;
      context.drawImage(this.row, left, middle - CORE, long, 2 * CORE);
      context.restore();
      context.strokeStyle = "rgba(143, 166, 178, .38)";
      context.lineWidth = 1;
      context.beginPath();
      context.roundRect(left + .5, middle - CORE - .5, long - 1, 2 * CORE + 1, [0, CORE, CORE, 0]);
      context.stroke();
      grip(context, hilt, middle);
    }
  }

  function grip(context, hilt, middle) {
    const body = context.createLinearGradient(0, middle - 15, 0, middle + 15);
    for (const [stop, ink] of [[0, "#2b2723"], [.3, "#6a5f52"], [1, "#201d1a"]]) body.addColorStop(stop, ink);
    context.fillStyle = body;
    context.fillRect(6, middle - 12, hilt - 8, 24);
    context.fillStyle = "rgba(10, 9, 8, .7)";
    for (let x = 16; x < hilt - 26; x += 7) context.fillRect(x, middle - 12, 2.5, 24);
    const brass = context.createLinearGradient(0, middle - 15, 0, middle + 15);
    for (const [stop, ink] of [[0, "#6d4f1d"], [.35, "#e9c47a"], [1, "#5a3f15"]]) brass.addColorStop(stop, ink);
    context.fillStyle = brass;
    for (const [x, wide] of [[4, 4], [hilt - 20, 3], [hilt - 8, 6]]) context.fillRect(x, middle - 14, wide, 28);
  }

  return Player;
})();
