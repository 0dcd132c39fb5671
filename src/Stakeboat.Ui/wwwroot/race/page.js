// The race page: one clock, one view, one cursor.
import { Clock } from './clock.js';
import { correctCall, correctFacts } from './correct.js';
import { Lanes } from './lanes.js';
import { Model } from './model.js';
import { colours, forgetColours } from './paint.js';
import * as small from './small.js';
import { lengths } from './strokes.js';
import { makeStrips, readings } from './strips.js';
import * as words from './words.js';
import { get, newKey, send } from '../talk.js';

const root = document.getElementById('race'), $ = id => document.getElementById(id), id = root.dataset.id, notice = $('notice');
if (root.dataset.ready === 'yes') await show(); else wait();

// No debrief yet: say how far it is, and load the page anew when it is there.
async function wait() {
  $('cancel-work').addEventListener('click', () => send('POST', `/outings/${id}/cancel`).catch(e => { notice.textContent = e.message; }));
  $('again').addEventListener('click', () => send('POST', `/outings/${id}/again`).then(() => location.reload(), e => { notice.textContent = e.message; }));
  for (;;) {
    try {
      const s = await (await get(`/outings/${id}/state`)).json();
      if (s.analysis !== null) { location.reload(); return; }
      const over = s.jobState === 'failed' || s.jobState === 'cancelled';
      $('waiting-bar').value = s.progress; $('waiting-message').textContent = s.message ?? '';
      $('waiting-bar').hidden = over; $('cancel-work').hidden = over; $('again').hidden = !over;
      if (over) { $('waiting-words').textContent = 'There is no debrief of this race.'; return; }
    } catch (e) { $('waiting-message').textContent = e.message; }
    await new Promise(r => setTimeout(r, 250));
  }
}

async function show() {
  let model = new Model(await (await get(`/outings/${id}/debrief`)).json());
  const audio = model.doc.clock.of === 'recording' ? $('sound') : null;
  const clock = new Clock(audio, model.from, model.to), view = { ...model.whole() };
  let strips = makeStrips(root, model, view), lanes = new Lanes($('lanes'), model), cueNow = -2, foldNow = null, seen = Number(root.dataset.revision), told = 0, busy = false;
  const cues = () => root.querySelectorAll('.cue');
  let cueRows = cues();
  // Measured by the page itself; read by the tests and by anyone who wonders.
  const frames = window.stakeboatFrames = { times: [] };

  function paint() {
    for (const s of strips) s.frame(clock.t);
    lanes.frame(clock.t);
    small.overview($('overview'), model, view, clock.t);
    small.stroke($('stroke'), model, clock.t);
    small.line($('line'), model, clock.t);
    lengths($('lengths'), model, clock.t);
  }

  let asked = false;
  function redraw(stale = false) {
    if (stale) for (const s of strips) s.stale = true;
    if (asked) return;
    asked = true;
    requestAnimationFrame(now => { asked = false; frames.times.push(now); if (frames.times.length > 2000) frames.times.splice(0, 1000); paint(); });
  }

  function tell(force = false) {
    const t = clock.t, now = performance.now();
    $('clock-time').textContent = words.clock(t - model.zero);
    const m = model.metresAt(t);
    $('clock-metres').textContent = m != null && t >= model.zero ? words.number(m, 0) + ' m' + (model.doc.clock.distance && m <= model.doc.clock.distance ? ` · ${words.number(model.doc.clock.distance - m, 0)} to go` : '') : '';
    const i = model.cueAt(t);
    if (i !== cueNow) {
      cueRows[cueNow]?.classList.remove('now'); cueNow = i;
      const row = cueRows[i], fold = row?.closest('.counted') ?? null;
      if (foldNow !== fold) { foldNow?.classList.remove('now'); fold?.classList.add('now'); foldNow = fold; }
      if (row) { row.classList.add('now'); const list = row.closest('.cues'), shown = fold && !fold.firstElementChild.open ? fold : row; if (!list.matches(':focus-within:hover')) list.scrollTop += shown.getBoundingClientRect().top - list.getBoundingClientRect().top - list.clientHeight / 3; }
      const cue = model.cues[i]; $('now-said').textContent = cue && t < cue.to + 4 ? '“' + cue.text + '”' : '';
    }
    if (force || now - told > 90) {
      told = now; readings(root, model, t);
      const o = $('overview'); o.setAttribute('aria-valuemin', Math.round(model.from)); o.setAttribute('aria-valuemax', Math.round(model.to)); o.setAttribute('aria-valuenow', Math.round(t)); o.setAttribute('aria-valuetext', words.clock(t - model.zero, 0) + ' of the race');
    }
  }

  clock.onTick((t, playing) => {
    if (playing && t > view.to - (view.to - view.from) * .12 && view.to < model.to) moveView(t - view.from - (view.to - view.from) * .25);
    tell(!playing); redraw();
    const b = $('play'); if (b.getAttribute('aria-pressed') !== String(playing)) { b.setAttribute('aria-pressed', playing); $('play-words').textContent = playing ? 'Stop' : 'Play'; }
  });

  function setView(from, to) {
    const least = 3, all = model.to - model.from; let span = Math.min(all, Math.max(least, to - from));
    from = Math.min(model.to - span, Math.max(model.from, from)); view.from = from; view.to = from + span; redraw(true);
  }
  function moveView(by) { setView(view.from + by, view.to + by); }
  function zoom(factor, at = clock.t) { const x = Math.min(view.to, Math.max(view.from, at)); setView(x - (x - view.from) * factor, x + (view.to - x) * factor); }
  function go(t) { clock.seek(t); if (t < view.from || t > view.to) setView(t - (view.to - view.from) / 3, t + (view.to - view.from) * 2 / 3); redraw(); }
  function hear(t, to) { const lead = 1.5; go(t - lead); if (to > t + .5) { clock.loop = null; } if (!clock.playing) clock.play(); }

  const strong = () => model.calls.filter(c => c.type !== 'spirit' && c.type !== 'count').map(c => c.t), movesAt = () => [...new Set(model.moves.map(m => m.from))].sort((a, b) => a - b);
  function stepTo(list, dir) { const t = clock.t + (dir > 0 ? 1.6 : -.1); const x = dir > 0 ? list.find(v => v > t + .05) : list.filter(v => v < t - (clock.playing ? 2.5 : .3) + (clock.playing ? 0 : 1.4)).at(-1); if (x !== undefined) go(x - 1.5); }
  function loop() {
    if (clock.loop) clock.loop = null;
    else { const m = model.moves.find(x => clock.t >= x.from - 2 && clock.t <= x.to + 2); clock.loop = m ? { from: m.from - 1, to: m.to + 2 } : { from: view.from, to: view.to }; if (clock.t < clock.loop.from || clock.t > clock.loop.to) go(clock.loop.from); }
    $('loop').setAttribute('aria-pressed', clock.loop !== null);
  }
  const callAt = () => model.calls.filter(c => c.type !== 'spirit').reduce((best, c) => Math.abs(c.t - clock.t) < Math.abs((best?.t ?? -1e9) - clock.t) ? c : best, null);

  // Corrections.
  async function state(s) {
    seen = s.revision; $('undo').disabled = !s.undo; $('redo').disabled = !s.redo; $('undo').title = s.undo ? 'Undo (u): ' + s.undo : 'Nothing to undo'; $('redo').title = s.redo ? 'Redo (r): ' + s.redo : 'Nothing to redo';
    if (s.changed) notice.textContent = s.changed;
  }
  async function reload() {
    const [doc, parts] = await Promise.all([get(`/outings/${id}/debrief`).then(a => a.json()), get(`/outings/${id}/parts`).then(a => a.text())]);
    model = new Model(doc); clock.from = model.from; clock.to = model.to;
    const fresh = new DOMParser().parseFromString(parts, 'text/html');
    for (const part of ['findings', 'talk', 'tables']) { const old = root.querySelector(`[data-part="${part}"]`), next = fresh.querySelector(`[data-part="${part}"]`); if (old && next) old.replaceWith(next); }
    cueRows = cues(); cueNow = -2; foldNow = null; strips = makeStrips(root, model, view); lanes = new Lanes($('lanes'), model); tell(true); redraw(true);
  }
  async function change(url, body) {
    if (busy) return;
    busy = true; notice.textContent = 'Kept; reckoning again.';
    try {
      let s = await send('POST', url, body); const said = s.changed;
      // The server answers after twenty seconds at the latest; a long outing on a busy machine may take longer.
      while (!s.fresh && (s.jobState === 'queued' || s.jobState === 'running')) { notice.textContent = `${said} Reckoning again: ${Math.round(100 * s.progress)} %.`; await new Promise(r => setTimeout(r, 300)); s = await (await get(`/outings/${id}/state`)).json(); }
      await reload(); await state({ ...s, changed: said });
    }
    catch (e) { notice.textContent = e.message; if (e.status === 409) { await reload(); const s = await (await get(`/outings/${id}/state`)).json(); s.changed = e.message; await state(s); } }
    finally { busy = false; }
  }
  const submit = part => change(`/outings/${id}/corrections`, { correction: { schema: 'stakeboat.correction', version: 1, ...part }, seen, key: newKey() });
  const undo = () => change(`/outings/${id}/undo`, { seen }), redo = () => change(`/outings/${id}/redo`, { seen });
  const editCall = call => { clock.pause(); if (call) correctCall($('correct'), model, call, clock.t, submit); };

  // Pointer on charts: drag scrubs; with shift it moves along; wheel and pinch zoom.
  const pointers = new Map();
  for (const canvas of root.querySelectorAll('canvas[data-chart]')) {
    const at = e => { const b = canvas.getBoundingClientRect(); return view.from + (e.clientX - b.left) / b.width * (view.to - view.from); };
    canvas.addEventListener('pointerdown', e => { canvas.setPointerCapture(e.pointerId); pointers.set(e.pointerId, { x: e.clientX, shift: e.shiftKey || e.button === 1 }); if (!e.shiftKey && pointers.size === 1) clock.seek(at(e)); });
    canvas.addEventListener('pointermove', e => {
      const p = pointers.get(e.pointerId); if (!p) return;
      const perPixel = (view.to - view.from) / canvas.clientWidth;
      if (pointers.size === 2) { const other = [...pointers].find(([k]) => k !== e.pointerId)[1], b = canvas.getBoundingClientRect(), was = Math.abs(p.x - other.x), is = Math.abs(e.clientX - other.x); if (was > 10 && is > 10) zoom(was / is, view.from + ((e.clientX + other.x) / 2 - b.left) * perPixel); }
      else if (p.shift) moveView((p.x - e.clientX) * perPixel);
      else clock.seek(at(e));
      p.x = e.clientX;
    });
    for (const end of ['pointerup', 'pointercancel']) canvas.addEventListener(end, e => pointers.delete(e.pointerId));
    canvas.addEventListener('wheel', e => { if (e.ctrlKey || e.altKey || Math.abs(e.deltaY) < Math.abs(e.deltaX) || !e.shiftKey && e.deltaMode === 0 && Math.abs(e.deltaY) < 4) { if (Math.abs(e.deltaX) > Math.abs(e.deltaY)) { e.preventDefault(); moveView(e.deltaX * (view.to - view.from) / canvas.clientWidth); } return; } e.preventDefault(); zoom(Math.exp(e.deltaY * .0015), at(e)); }, { passive: false });
  }
  const o = $('overview'), scrub = e => { const b = o.getBoundingClientRect(); go(model.from + (e.clientX - b.left) / b.width * (model.to - model.from)); };
  o.addEventListener('pointerdown', e => { o.setPointerCapture(e.pointerId); scrub(e); });
  o.addEventListener('pointermove', e => { if (o.hasPointerCapture(e.pointerId)) scrub(e); });

  root.addEventListener('click', e => {
    const hearing = e.target.closest('.hear'), call = e.target.closest('button.call'), on = e.target.closest('.send-on');
    if (hearing) { e.preventDefault(); hear(Number(hearing.dataset.t), Number(hearing.dataset.to)); }
    else if (call) { const c = model.calls.find(x => x.id === Number(call.dataset.call)); go(c.t - 1.5); editCall(c); }
    else if (on) {
      const f = on.closest('.finding'); on.disabled = true;
      send('POST', `/outings/${id}/next-plan`, { form: on.dataset.form, text: on.dataset.form === 'cue' ? f.dataset.cue : f.dataset.note, source: f.dataset.sentence, key: newKey() }).then(() => { on.textContent = on.dataset.form === 'cue' ? 'a cue there now' : 'a note there now'; on.classList.add('sent'); }, x => { on.disabled = false; notice.textContent = x.message; });
    }
  });
  $('play').addEventListener('click', () => clock.playing && audio?.muted ? (audio.muted = false, notice.textContent = '') : clock.toggle());
  $('call-back').addEventListener('click', () => stepTo(strong(), -1)); $('call-on').addEventListener('click', () => stepTo(strong(), 1));
  $('move-back').addEventListener('click', () => stepTo(movesAt(), -1)); $('move-on').addEventListener('click', () => stepTo(movesAt(), 1));
  $('loop').addEventListener('click', loop); $('tempo').addEventListener('change', e => clock.setTempo(Number(e.target.value)));
  $('undo').addEventListener('click', undo); $('redo').addEventListener('click', redo); $('keys').addEventListener('click', () => $('key-list').showModal());

  const keys = {
    ' ': () => clock.toggle(), ArrowLeft: e => go(clock.t - (e.shiftKey ? 5 : 1)), ArrowRight: e => go(clock.t + (e.shiftKey ? 5 : 1)),
    ',': () => stepTo(strong(), -1), '.': () => stepTo(strong(), 1), p: () => stepTo(movesAt(), -1), n: () => stepTo(movesAt(), 1), l: loop,
    '+': () => zoom(.6), '=': () => zoom(.6), '-': () => zoom(1 / .6), '0': () => { const w = model.whole(); setView(w.from, w.to); }, Home: () => go(model.go ?? model.from), End: () => go(model.finish ?? model.to),
    c: () => editCall(callAt()), a: () => { clock.pause(); correctCall($('correct'), model, null, clock.t, submit); }, g: () => { clock.pause(); submit({ start: { goAt: Math.round(clock.t * 100) / 100 } }); },
    e: () => { clock.pause(); correctFacts($('correct'), model, clock.t, submit); }, u: undo, r: redo, f: () => { const b = root.querySelector('.finding .hear'); b?.scrollIntoView({ block: 'center' }); b?.focus(); }, '?': () => $('key-list').showModal(),
  };
  document.addEventListener('keydown', e => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input, select, textarea, dialog') || e.key === ' ' && e.target.closest('button, a, summary')) return;
    const f = keys[e.key]; if (f) { e.preventDefault(); f(e); }
  });

  new ResizeObserver(() => redraw(true)).observe(root);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => { forgetColours(); redraw(true); });
  document.fonts?.ready.then(() => redraw(true));
  colours();
  const named = /^#t=(-?[\d.]+)$/.exec(location.hash);
  go(named ? Number(named[1]) : model.go !== null ? Math.max(model.from, model.go - 3) : model.from);
  tell(true); redraw(true);
  window.stakeboat = { clock, view, setView, zoom, get model() { return model; }, get lanes() { return lanes; }, audio };
  root.dataset.shown = 'yes';
  await state(await (await get(`/outings/${id}/state`)).json());
  if (root.dataset.demo && !named && !matchMedia('(prefers-reduced-motion: reduce)').matches && !sessionStorage.getItem('stakeboat-played')) {
    // The first visit: the race plays by itself, silently, since a page may not make a sound unasked.
    sessionStorage.setItem('stakeboat-played', 'yes');
    await clock.play(true); if (audio) { notice.textContent = 'Playing without sound.'; const b = document.createElement('button'); b.type = 'button'; b.textContent = 'Sound on'; b.addEventListener('click', () => { audio.muted = false; notice.textContent = ''; }); notice.append(' ', b); }
  }
}
