// The race from above: hulls to scale, seats visible, the interval as blur. Racing from left to right.
import { colours, fit, font, ratio } from './paint.js';
import * as words from './words.js';

function hull(g, crew, bow, y, scale, beam, colour, alpha, r, seats, stroke, phase) {
  const L = crew.length * scale, x = bow - L;
  g.globalAlpha = alpha; g.fillStyle = colour;
  g.beginPath(); g.moveTo(bow, y); g.quadraticCurveTo(bow - L * .28, y - beam, bow - L * .55, y - beam); g.quadraticCurveTo(x + L * .18, y - beam, x, y);
  g.quadraticCurveTo(x + L * .18, y + beam, bow - L * .55, y + beam); g.quadraticCurveTo(bow - L * .28, y + beam, bow, y); g.fill();
  if (!seats) { g.globalAlpha = 1; return; }
  const c = colours();
  for (let s = 1; s <= crew.seats; s++) {
    const at = bow - (crew.bowSeat + (s - 1) * crew.seatSpacing) * scale;
    if (stroke) {
      // Oars swing from catch to finish and back with the strokes that were found.
      const swing = phase === null ? 0 : (phase < .42 ? -1 + 2 * phase / .42 : 1 - 2 * (phase - .42) / .58) * .75;
      const sides = crew.boat.includes('x') ? [-1, 1] : [s % 2 ? 1 : -1];
      g.strokeStyle = colour; g.lineWidth = Math.max(1, r);
      for (const side of sides) { const len = Math.min(3.4 * scale, 5.5 * beam); g.beginPath(); g.moveTo(at, y + side * beam); g.lineTo(at - Math.sin(swing) * len, y + side * (beam + Math.cos(swing) * len * .55)); g.stroke(); }
    }
    g.fillStyle = c.paper; g.beginPath(); g.arc(at, y, Math.max(1.1 * r, beam * .38), 0, 7); g.fill();
  }
  if (crew.cox != null) { g.fillStyle = c.paper; g.fillRect(bow - crew.cox * scale - beam * .4, y - beam * .4, beam * .8, beam * .8); }
  g.globalAlpha = 1;
}

export class Lanes {
  constructor(canvas, model) {
    this.canvas = canvas; this.model = model; this.window = null;
    const lanes = [{ crew: model.us, rival: null, lane: model.us.lane }, ...model.rivals.map(r => ({ crew: r.crew, rival: r, lane: r.lane ?? r.crew.lane }))];
    lanes.sort((a, b) => (a.lane ?? (a.rival ? 99 : 0)) - (b.lane ?? (b.rival ? 99 : 0)));
    this.lanes = lanes;
    canvas.parentElement.style.setProperty('--lanes-height', Math.min(300, 34 + 38 * lanes.length) + 'px');
  }

  frame(t) {
    const g = fit(this.canvas), w = this.canvas.width, h = this.canvas.height, r = ratio(), c = colours(), m = this.model;
    const metres = m.metresAt(t), own = Number.isFinite(metres) ? metres : 0, at = this.lanes.map(l => l.rival ? m.marginAt(l.rival, t) : { metres: 0, low: 0, high: 0 });
    let front = own, back = own - m.us.length;
    this.lanes.forEach((l, i) => { if (at[i]) { front = Math.max(front, own - at[i].low); back = Math.min(back, own - at[i].high - l.crew.length); } });
    const span = Math.min(220, Math.max(w < 900 ? 44 : 66, (front - back) * 1.22)), centre = Math.min(own + span * .4, Math.max(own - span * .4 + m.us.length * .3, (front + back) / 2));
    if (!this.window || Math.abs(t - this.last) > 2) this.window = { span, centre: centre - own };
    const k = this.last === undefined ? 1 : Math.min(1, Math.abs(t - this.last) * 1.5); this.last = t;
    this.window.span += (span - this.window.span) * k; this.window.centre += (centre - own - this.window.centre) * k;
    const scale = w / this.window.span, left = own + this.window.centre - this.window.span / 2, X = metres => (metres - left) * scale;
    g.clearRect(0, 0, w, h); font(g, 11); g.textBaseline = 'bottom';
    const head = 16 * r, band = (h - head) / this.lanes.length, every = this.window.span > 150 ? 20 : 10;
    for (let x = Math.floor(left / every) * every; x < left + this.window.span; x += every) {
      if (x < -1) continue;
      const px = Math.round(X(x)) + .5, strong = x % 100 === 0 || x === m.doc.clock.distance;
      g.strokeStyle = c.waterLine; g.globalAlpha = strong ? 1 : .45; g.lineWidth = 1; g.beginPath(); g.moveTo(px, head); g.lineTo(px, h); g.stroke(); g.globalAlpha = 1;
      if (x % 50 === 0) { g.fillStyle = c.soft; g.fillText(words.number(x, 0) + ' m', px + 3 * r, head - 1); }
    }
    for (const x of [0, m.doc.clock.distance]) if (x != null && X(x) > -5 && X(x) < w + 5) { g.fillStyle = c.ink; g.fillRect(X(x) - r, head, 2 * r, h - head); }
    // Our bow carried across all lanes: what a margin is read from.
    g.strokeStyle = c.us; g.globalAlpha = .5; g.setLineDash([4 * r, 4 * r]); g.beginPath(); g.moveTo(X(own), head); g.lineTo(X(own), h); g.stroke(); g.setLineDash([]); g.globalAlpha = 1;
    const i = m.strokeAt(t), next = m.strokes && i >= 0 && i + 1 < m.strokes.t.length ? m.strokes.t[i + 1] : null;
    const phase = next !== null && next - m.strokes.t[i] < 6 ? (t - m.strokes.t[i]) / (next - m.strokes.t[i]) : null;
    this.lanes.forEach((l, n) => {
      const y = head + band * (n + .5), beam = Math.max(2.2 * r, Math.min(.075 * band, 5 * r)), colour = l.rival ? c.rivals[l.rival.index] : c.us, p = at[n];
      if (n) { g.strokeStyle = c.waterLine; g.setLineDash([1, 7 * r]); g.lineWidth = 2 * r; g.beginPath(); g.moveTo(0, head + band * n); g.lineTo(w, head + band * n); g.stroke(); g.setLineDash([]); }
      font(g, 12, 650);
      if (!p) { g.fillStyle = c.soft; g.textAlign = 'left'; g.fillText(l.crew.name ?? '', 6 * r, y + 5 * r); return; }
      const bow = X(own - p.metres), wide = (p.high - p.low) * scale;
      if (l.rival && wide > 2) { const steps = Math.min(25, Math.max(5, Math.round(wide / 3))); for (let s = 0; s < steps; s++) { const z = (s + .5) / steps * 2 - 1; hull(g, l.crew, X(own - (p.metres + z * (p.high - p.low) / 2)), y, scale, beam, colour, .9 / steps * Math.exp(-1.35 * z * z) * 1.6, r, false); } }
      hull(g, l.crew, bow, y, scale, beam, colour, l.rival ? Math.max(.45, 1 - wide / (12 * scale)) : 1, r, true, !l.rival, phase);
      const text = l.rival ? `${l.rival.name}  ${words.signed(p.metres * words.marginScale(l.crew), words.marginDigits())} ${words.marginUnit()}` : l.crew.name, tw = g.measureText(text).width;
      let x = bow - l.crew.length * scale - tw - 10 * r;
      if (x < 4 * r) x = Math.min(w - tw - 6 * r, bow + 12 * r + (l.rival ? wide / 2 : 0));
      g.textBaseline = 'middle'; g.fillStyle = colour; g.fillText(text, x, y); g.textBaseline = 'bottom';
    });
  }
}
