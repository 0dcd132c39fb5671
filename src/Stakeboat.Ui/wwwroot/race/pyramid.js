// Lowest and highest of ever longer stretches of evenly sampled values, so that a chart draws as many points as it has pixels.
export class Pyramid {
  constructor(values, t0, hz) {
    this.t0 = t0; this.hz = hz; this.n = values.length;
    const base = new Float32Array(values.length);
    for (let i = 0; i < values.length; i++) base[i] = values[i] === null ? NaN : values[i];
    this.base = base;
    this.levels = [];
    let low = base, high = base;
    while (low.length > 64) {
      const n = Math.ceil(low.length / 4), l = new Float32Array(n), h = new Float32Array(n);
      for (let k = 0; k < n; k++) {
        let a = NaN, b = NaN;
        for (let i = 4 * k; i < Math.min(4 * k + 4, low.length); i++) {
          if (!(low[i] >= a)) a = Number.isNaN(low[i]) ? a : low[i];
          if (!(high[i] <= b)) b = Number.isNaN(high[i]) ? b : high[i];
        }
        l[k] = a; h[k] = b;
      }
      this.levels.push([l, h]); low = l; high = h;
    }
  }

  at(t) {
    const x = (t - this.t0) * this.hz, i = Math.floor(x);
    if (i < 0 || i >= this.n - 1) return NaN;
    return this.base[i] + (x - i) * (this.base[i + 1] - this.base[i]);
  }

  // Lowest and highest of samples [from, to), by the coarsest level that is finer than the stretch.
  range(from, to) {
    from = Math.max(0, Math.floor(from)); to = Math.min(this.n, Math.max(from + 1, Math.ceil(to)));
    let level = -1, size = 1;
    while (level + 1 < this.levels.length && size * 4 <= to - from) { level++; size *= 4; }
    const low = level < 0 ? this.base : this.levels[level][0], high = level < 0 ? this.base : this.levels[level][1];
    let a = NaN, b = NaN;
    for (let i = Math.floor(from / size); i < Math.ceil(to / size) && i < low.length; i++) {
      if (!(low[i] >= a)) a = Number.isNaN(low[i]) ? a : low[i];
      if (!(high[i] <= b)) b = Number.isNaN(high[i]) ? b : high[i];
    }
    return [a, b];
  }

  // Draws between pixel columns x0 and x1; every line is one device pixel wide.
  draw(ctx, X, Y, view, x0, x1) {
    const perPixel = (view.to - view.from) * this.hz / (x1 - x0), left = (view.from - this.t0) * this.hz;
    ctx.lineWidth = 1;
    ctx.beginPath();
    if (perPixel > 1.5) {
      for (let x = 0; x < x1 - x0; x++) {
        const [low, high] = this.range(left + x * perPixel, left + (x + 1) * perPixel);
        if (Number.isNaN(low)) continue;
        const top = Math.round(Y(high)), bottom = Math.max(top + 1, Math.round(Y(low)));
        ctx.moveTo(x0 + x + .5, top); ctx.lineTo(x0 + x + .5, bottom);
      }
    } else {
      let open = false;
      for (let i = Math.max(0, Math.floor(left)); i <= Math.min(this.n - 1, left + (x1 - x0) * perPixel + 1); i++) {
        if (Number.isNaN(this.base[i])) { open = false; continue; }
        const x = X(this.t0 + i / this.hz), y = Y(this.base[i]);
        if (open) ctx.lineTo(x, y); else ctx.moveTo(x, y);
        open = true;
      }
    }
    ctx.stroke();
  }
}
