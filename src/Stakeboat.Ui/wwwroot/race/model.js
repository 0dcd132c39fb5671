// The debrief document made ready for drawing. Nothing is computed here that Core did not give; it is only looked up.
import { Pyramid } from './pyramid.js';

export class Model {
  constructor(doc) {
    this.doc = doc;
    const c = doc.clock;
    this.go = c.goAt ?? null; this.zero = c.goAt ?? 0;
    this.from = Math.min(c.from, c.goAt ?? c.from); this.to = Math.max(c.to, this.from + 1);
    this.finish = c.finishAt ?? null;
    this.us = doc.us;
    this.rivals = doc.margins.map((m, i) => ({ ...m, index: i % 7, crew: doc.crews.find(x => x.name === m.crew) ?? doc.us, name: m.crew }));
    this.calls = (doc.called?.calls ?? []).slice().sort((a, b) => a.t - b.t);
    this.cues = doc.called?.cues ?? [];
    this.moves = doc.moves;
    const hull = doc.rowed?.hull;
    this.speed = hull && hull.speed.length > 1 ? new Pyramid(hull.speed, hull.t0, hull.hz) : null;
    this.metres = hull && hull.metres.length > 1 ? new Pyramid(hull.metres, hull.t0, hull.hz) : null;
    const s = doc.rowed?.strokes;
    this.strokes = s && s.t.length ? s : null;
    this.rates = doc.rowed?.rate ?? [];
  }

  // Index of the last entry of a rising list that is not after t; -1 where none is.
  static before(list, t) {
    let low = 0, high = list.length;
    while (low < high) { const mid = (low + high) >> 1; if (list[mid] <= t) low = mid + 1; else high = mid; }
    return low - 1;
  }

  metresAt(t) {
    const m = this.metres ? this.metres.at(t) : NaN;
    if (Number.isFinite(m)) return m;
    const d = this.doc.clock.distance;
    if (d && this.go !== null && this.finish !== null) return Math.min(d, Math.max(0, d * (t - this.go) / (this.finish - this.go)));
    return null;
  }

  // First time at which our bow has come this far; null where no track says it.
  timeAt(metres) {
    if (!this.metres) {
      const d = this.doc.clock.distance;
      return d && this.go !== null && this.finish !== null ? this.go + (this.finish - this.go) * metres / d : null;
    }
    const b = this.metres.base;
    let low = 0, high = b.length - 1;
    if (!(b[high] >= metres)) return null;
    while (low < high) { const mid = (low + high) >> 1; if (b[mid] >= metres) high = mid; else low = mid + 1; }
    return this.metres.t0 + low / this.metres.hz;
  }

  marginAt(rival, t) {
    const x = t - rival.t0, i = Math.floor(x);
    if (i < 0 || i > rival.metres.length - 1) return null;
    const j = Math.min(i + 1, rival.metres.length - 1), w = x - i, mix = a => a[i] + w * (a[j] - a[i]);
    return { metres: mix(rival.metres), low: mix(rival.low90), high: mix(rival.high90) };
  }

  strokeAt(t) { return this.strokes ? Model.before(this.strokes.t, t) : -1; }

  cueAt(t) {
    const i = this.cueStarts ? Model.before(this.cueStarts, t) : (this.cueStarts = this.cues.map(c => c.t), Model.before(this.cueStarts, t));
    return i;
  }

  planned(pick) {
    const out = [];
    for (const s of this.doc.planned?.segments ?? []) {
      const y = pick(s);
      if (y == null) continue;
      const from = s.fromSeconds != null && this.go !== null && !this.metres ? this.go + s.fromSeconds : this.timeAt(s.from);
      const to = s.toSeconds != null && this.go !== null && !this.metres ? this.go + s.toSeconds : this.timeAt(s.to) ?? this.finish;
      if (from != null && to != null && to > from) out.push({ from, to, y, name: s.name });
    }
    return out;
  }

  whole() {
    const a = this.go !== null ? this.go - 6 : this.from, b = this.finish !== null ? this.finish + 6 : this.to;
    return { from: Math.max(this.from, a), to: Math.min(this.to, Math.max(b, a + 10)) };
  }
}
