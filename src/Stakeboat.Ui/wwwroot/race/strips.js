// The strips of the time chart: margin, rate, speed, axis. All share one view and one cursor.
import { colours, dashes, fit, font, ratio, step } from './paint.js';
import * as words from './words.js';
import { Model } from './model.js';

class Strip {
  constructor(canvas, model, view, draw, range) {
    this.canvas = canvas; this.model = model; this.view = view; this.paint = draw; this.range = range;
    this.cache = document.createElement('canvas'); this.stale = true;
  }

  frame(t) {
    const ctx = fit(this.canvas), w = this.canvas.width, h = this.canvas.height, c = colours();
    if (this.stale || this.cache.width !== w || this.cache.height !== h) {
      this.cache.width = w; this.cache.height = h;
      const g = this.cache.getContext('2d'), v = this.view, [low, high] = this.range ? this.range() : [0, 1];
      const pad = 6 * ratio();
      this.X = x => (x - v.from) / (v.to - v.from) * w;
      this.Y = y => pad + (high - y) / (high - low || 1) * (h - 2 * pad);
      this.paint(g, { w, h, low, high, X: this.X, Y: this.Y, c, view: v, model: this.model });
      this.stale = false;
    }
    ctx.clearRect(0, 0, w, h);
    ctx.drawImage(this.cache, 0, 0);
    const x = Math.round(this.X(t)) + .5;
    if (x >= 0 && x <= w) { ctx.strokeStyle = c.now; ctx.lineWidth = Math.max(1, Math.round(1.5 * ratio())); ctx.beginPath(); ctx.moveTo(x, 0); ctx.lineTo(x, h); ctx.stroke(); }
  }
}

function grid(g, p, unitStep, label, zero = false) {
  g.clearRect(0, 0, p.w, p.h);
  font(g, 11);
  g.textBaseline = 'middle';
  const before = p.view.from < (p.model.go ?? -Infinity) ? p.X(p.model.go) : 0, after = p.model.finish !== null && p.view.to > p.model.finish ? p.X(p.model.finish) : p.w;
  g.fillStyle = p.c.rule; g.globalAlpha = .3;
  if (before > 0) g.fillRect(0, 0, Math.min(before, p.w), p.h);
  if (after < p.w) g.fillRect(Math.max(0, after), 0, p.w, p.h);
  g.globalAlpha = 1;
  for (let y = Math.ceil(p.low / unitStep) * unitStep; y <= p.high + 1e-9; y += unitStep) {
    const at = Math.round(p.Y(y)) + .5;
    g.strokeStyle = zero && Math.abs(y) < 1e-9 ? p.c.ink : p.c.rule; g.lineWidth = 1;
    g.beginPath(); g.moveTo(0, at); g.lineTo(p.w, at); g.stroke();
    const text = label(y), tw = g.measureText(text).width;
    g.fillStyle = p.c.paper; g.globalAlpha = .75; g.fillRect(0, at - 7 * ratio(), tw + 6 * ratio(), 14 * ratio()); g.globalAlpha = 1;
    g.fillStyle = p.c.soft; g.fillText(text, 2 * ratio(), at);
  }
}

function path(g, points, X, Y) { g.beginPath(); let open = false; for (const [x, y] of points) { if (y == null || !Number.isFinite(y)) { open = false; continue; } if (open) g.lineTo(X(x), Y(y)); else g.moveTo(X(x), Y(y)); open = true; } g.stroke(); }

function quantiles(values, low, high) { const s = values.filter(Number.isFinite).sort((a, b) => a - b); return s.length ? [s[Math.floor((s.length - 1) * low)], s[Math.floor((s.length - 1) * high)]] : null; }

function margin(g, p) {
  const m = p.model, r = ratio(), digits = words.marginDigits();
  grid(g, p, step(p.high - p.low, 6), y => words.signed(y, Math.abs(y) % 1 ? digits : 0), true);
  for (const rival of m.rivals) {
    const s = words.marginScale(rival.crew), colour = p.c.rivals[rival.index], n = rival.metres.length;
    const first = Math.max(0, Math.floor(p.view.from - rival.t0) - 1), last = Math.min(n - 1, Math.ceil(p.view.to - rival.t0) + 1), jump = Math.max(1, Math.floor((last - first) / p.w));
    g.fillStyle = colour; g.globalAlpha = p.c.band;
    g.beginPath();
    for (let i = first; i <= last; i += jump) g.lineTo(p.X(rival.t0 + i), p.Y(rival.high90[i] * s));
    for (let i = last; i >= first; i -= jump) g.lineTo(p.X(rival.t0 + i), p.Y(rival.low90[i] * s));
    g.fill(); g.globalAlpha = 1;
    g.strokeStyle = colour; g.lineWidth = 2 * r; g.setLineDash(dashes[rival.index].map(d => d * r));
    g.beginPath();
    for (let i = first; i <= last; i += jump) g.lineTo(p.X(rival.t0 + i), p.Y(rival.metres[i] * s));
    g.stroke(); g.setLineDash([]);
  }
  // Evidence: what each call or split allowed, as a bar with caps; doubtful ones are thin.
  for (const e of m.doc.evidence) {
    const rival = m.rivals.find(x => x.name === e.crew);
    if (!rival || e.t < p.view.from || e.t > p.view.to || e.kind === 'start') continue;
    const s = words.marginScale(rival.crew), x = Math.round(p.X(e.t)) + .5, y0 = e.high != null ? p.Y(e.high * s) : 0, y1 = e.low != null ? p.Y(e.low * s) : p.h;
    g.strokeStyle = p.c.rivals[rival.index]; g.globalAlpha = .35 + .65 * e.weight; g.lineWidth = (e.weight > .5 ? 1.6 : 1) * r;
    g.beginPath(); g.moveTo(x, y0); g.lineTo(x, y1);
    for (const [y, open] of [[y0, e.high == null], [y1, e.low == null]]) if (!open) { g.moveTo(x - 4 * r, y); g.lineTo(x + 4 * r, y); }
    g.stroke(); g.globalAlpha = 1;
    if (e.kind !== 'call') { g.fillStyle = p.c.rivals[rival.index]; g.fillRect(x - 3 * r, (y0 + y1) / 2 - 3 * r, 6 * r, 6 * r); }
  }
  // Moves: brackets at the top edge, ours filled.
  font(g, 11, 600); g.textBaseline = 'top';
  let end = -1e9;
  const drawn = new Set();
  for (const move of m.moves) {
    const x0 = p.X(move.from), x1 = Math.max(x0 + 3 * r, p.X(move.to));
    if (x1 < 0 || x0 > p.w) continue;
    const ours = move.crew === m.us.name, rival = m.rivals.find(x => x.name === move.crew), colour = ours ? p.c.us : p.c.rivals[rival?.index ?? 6];
    g.fillStyle = colour; g.globalAlpha = ours ? 1 : .7; g.fillRect(x0, 0, x1 - x0, (ours ? 5 : 3) * r); g.globalAlpha = .07; if (!drawn.has(move.from)) g.fillRect(x0, 0, x1 - x0, p.h); drawn.add(move.from); g.globalAlpha = 1;
    const text = words.signed(move.seats) + (move.distinguishable ? '' : ' ?');
    if (x0 > end && move.rival) { g.fillText(text, x0, 7 * r); end = x0 + g.measureText(text).width + 6 * r; }
  }
}

function rate(g, p) {
  const m = p.model, r = ratio();
  grid(g, p, step(p.high - p.low, 4), y => words.number(y, 0));
  g.strokeStyle = p.c.soft; g.lineWidth = 2 * r; g.setLineDash([5 * r, 4 * r]);
  for (const s of m.planned(x => x.rate)) path(g, [[s.from, s.y], [s.to, s.y]], p.X, p.Y);
  g.setLineDash([]);
  g.strokeStyle = p.c.us; g.lineWidth = 1.8 * r;
  if (m.strokes) path(g, m.strokes.t.map((t, i) => [t, m.strokes.rate[i]]), p.X, p.Y);
  else path(g, m.rates.filter(x => x.source !== 'said').map(x => [x.t, x.rate]), p.X, p.Y);
  for (const c of m.calls) {
    if (c.type !== 'rate' || c.t < p.view.from || c.t > p.view.to) continue;
    const x = p.X(c.t), y = p.Y(c.spm), d = 5 * r;
    g.beginPath(); g.moveTo(x, y - d); g.lineTo(x + d, y); g.lineTo(x, y + d); g.lineTo(x - d, y); g.closePath();
    g.lineWidth = 1.5 * r; g.strokeStyle = p.c.ink; g.fillStyle = c.sense === 'wanted' ? p.c.paper : p.c.ink; g.globalAlpha = c.confidence < .6 ? .55 : 1; g.fill(); g.stroke(); g.globalAlpha = 1;
  }
}

function speed(g, p) {
  const m = p.model, r = ratio();
  grid(g, p, step(p.high - p.low, 4), y => words.speed(y) || words.number(y, 1));
  g.strokeStyle = p.c.soft; g.lineWidth = 2 * r; g.setLineDash([5 * r, 4 * r]);
  for (const s of m.planned(x => x.secPer500 > 0 ? 500 / x.secPer500 : null)) path(g, [[s.from, s.y], [s.to, s.y]], p.X, p.Y);
  g.setLineDash([]);
  if (m.speed) { g.strokeStyle = p.c.us; g.globalAlpha = p.view.to - p.view.from > 90 ? .3 : .7; m.speed.draw(g, p.X, p.Y, p.view, 0, p.w); g.globalAlpha = 1; }
  if (m.strokes) { g.strokeStyle = p.c.us; g.lineWidth = 1.8 * r; path(g, m.strokes.t.map((t, i) => [t, m.strokes.speed[i]]), p.X, p.Y); }
}

function axis(g, p) {
  const m = p.model, r = ratio();
  g.clearRect(0, 0, p.w, p.h); font(g, 12); g.textBaseline = 'top'; g.textAlign = 'center';
  const span = p.view.to - p.view.from, gap = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800].find(s => span / s * 52 * r <= p.w) ?? 3600;
  g.strokeStyle = p.c.soft; g.fillStyle = p.c.soft; g.lineWidth = 1;
  for (let t = Math.ceil((p.view.from - m.zero) / gap) * gap; t <= p.view.to - m.zero; t += gap) {
    const x = Math.round(p.X(t + m.zero)) + .5;
    g.beginPath(); g.moveTo(x, 0); g.lineTo(x, 4 * r); g.stroke(); g.fillText(words.clock(t, 0), Math.min(p.w - 14 * r, Math.max(14 * r, x)), 5 * r);
  }
  const d = m.doc.clock.distance;
  if (m.metres || d) {
    const a = m.metresAt(Math.max(p.view.from, m.go ?? p.view.from)) ?? 0, b = m.metresAt(Math.min(p.view.to, m.finish ?? p.view.to)) ?? d ?? 0, gapM = Math.max(10, step(Math.max(1, b - a), p.w / (75 * r)));
    g.fillStyle = p.c.ink;
    for (let x = Math.ceil(a / gapM) * gapM; x <= b + 1; x += gapM) { const t = m.timeAt(x); if (t != null && x > 0 && t >= p.view.from && t <= p.view.to) g.fillText(words.number(x, 0) + ' m', Math.min(p.w - 20 * r, Math.max(20 * r, p.X(t))), 19 * r); }
  }
}

export function makeStrips(root, model, view) {
  const canvas = name => root.querySelector(`canvas[data-chart="${name}"]`), whole = model.whole();
  const inRace = t => t >= whole.from && t <= whole.to;
  const box = (name, has) => { const e = root.querySelector(`[data-strip="${name}"]`); if (e) e.hidden = !has; return has; };
  const strips = [];
  if (box('margin', model.rivals.length > 0)) {
    const ys = [];
    for (const r of model.rivals) { const s = words.marginScale(r.crew); for (let i = 0; i < r.metres.length; i++) { ys.push(r.metres[i] * s); } const q = quantiles(r.high90.map(x => x * s), 0, .97), l = quantiles(r.low90.map(x => x * s), .03, 1); if (q) ys.push(q[1]); if (l) ys.push(l[0]); }
    const low = Math.min(0, ...ys), high = Math.max(0, ...ys), room = Math.max(1, high - low) * .06;
    strips.push(new Strip(canvas('margin'), model, view, margin, () => [low - room, high + room * 1.8]));
  }
  const said = model.calls.filter(c => c.type === 'rate' && inRace(c.t)).map(c => c.spm), rowed = model.strokes ? model.strokes.rate.filter((_, i) => inRace(model.strokes.t[i])) : model.rates.map(x => x.rate);
  if (box('rate', said.length + rowed.length > 0)) {
    const q = quantiles(rowed, .02, .99) ?? [Infinity, -Infinity], pl = model.planned(x => x.rate).map(s => s.y), low = Math.min(q[0], ...said, ...pl), high = Math.max(q[1], ...said, ...pl);
    strips.push(new Strip(canvas('rate'), model, view, rate, () => [low - 1.5, high + 1.5]));
  }
  const speeds = model.strokes ? model.strokes.speed.filter((v, i) => v != null && inRace(model.strokes.t[i])) : [];
  if (box('speed', speeds.length > 0 || model.speed !== null)) {
    const q = quantiles(speeds.length ? speeds : Array.from(model.speed.base.filter((_, i) => i % 10 === 0)), .03, .995) ?? [0, 6];
    // Closer in, the speed within the stroke needs room; the whole race shows stroke means.
    strips.push(new Strip(canvas('speed'), model, view, speed, () => view.to - view.from < 90 && model.speed ? [q[0] - 1.8, q[1] + 1.4] : [q[0] - .35, q[1] + .35]));
  }
  strips.push(new Strip(canvas('axis'), model, view, axis, null));
  return strips;
}

// What the strips read at the cursor.
export function readings(root, model, t) {
  const set = (name, parts) => {
    const e = root.querySelector(`[data-reading="${name}"]`);
    if (!e) return;
    e.replaceChildren(...parts.filter(Boolean).map(([key, label, value, more]) => {
      const d = document.createElement('div'), k = document.createElement('span'), b = document.createElement('b'), s = document.createElement('small');
      k.className = 'key key-' + key; k.textContent = label + ' '; b.textContent = value; s.textContent = more ? ' ' + more : ''; d.append(k, b, s); return d;
    }));
  };
  set('margin', model.rivals.map(r => {
    const m = model.marginAt(r, t);
    if (!m) return null;
    const s = words.marginScale(r.crew), d = words.marginDigits();
    return [r.index, r.name, words.signed(m.metres * s, d), `${words.signed(m.low * s, d)} to ${words.signed(m.high * s, d)} ${words.marginUnit()}`];
  }));
  const i = model.strokeAt(t), s = model.strokes, plan = list => list.find(x => t >= x.from && t < x.to);
  const pr = plan(model.planned(x => x.rate)), pv = plan(model.planned(x => x.secPer500 > 0 ? 500 / x.secPer500 : null));
  const near = model.rates.length ? model.rates[Math.max(0, Model.before(model.rates.map(x => x.t), t))] : null;
  const rateNow = s && i >= 0 && s.rate[i] != null && t - s.t[i] < 6 ? s.rate[i] : near && Math.abs(near.t - t) < 6 ? near.rate : null;
  const called = model.calls.filter(c => c.type === 'rate' && c.t <= t).at(-1);
  set('rate', [rateNow != null ? ['us', 'rowed', words.number(rateNow), s && s.rateSd[i] != null && rateNow === s.rate[i] ? '± ' + words.number(1.645 * s.rateSd[i]) : ''] : null,
    pr ? ['plan', 'planned', words.number(pr.y)] : null, called && t - called.t < 60 ? ['plan', called.sense === 'wanted' ? 'wanted' : 'called', words.number(called.spm), words.number(t - called.t, 0) + ' s ago'] : null]);
  const v = s && i >= 0 && s.speed[i] != null && t - s.t[i] < 6 ? s.speed[i] : null;
  set('speed', [v != null ? ['us', 'rowed', words.speed(v), words.speedUnit()] : null, pv ? ['plan', 'planned', words.speed(pv.y), words.speedUnit()] : null,
    model.speed && Number.isFinite(model.speed.at(t)) ? ['plan', 'hull now', words.number(model.speed.at(t), 2), 'm/s'] : null]);
}
