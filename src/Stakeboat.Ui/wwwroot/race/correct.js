// Putting things right. What is sent is kept apart from the analysis; the server answers with what it changed.
import { clock } from './words.js';

const fields = {
  margin: [['crew', 'crew'], ['side', ['', 'ahead', 'behind', 'level']], ['seats', 'number'], ['lengths', 'number'], ['our', ['boat', 'cox', 'bow', 'stern']], ['their', ['', '1', '2', '3', '4', '5', '6', '7', '8', 'cox', 'bow', 'stern']], ['openWater', 'flag']],
  rate: [['spm', 'number'], ['sense', ['now', 'wanted']]], distance: [['metres', 'number'], ['sense', ['gone', 'left']]], time: [['seconds', 'number'], ['sense', ['gone', 'untilEvent']]],
  strokesTo: [['strokes', 'number'], ['to', ['finish', 'mark', 'sprint', 'move', 'stop', 'end', 'other']]], move: [['strokes', 'number'], ['purpose', 'text']], rivalMove: [['crew', 'crew']],
  trend: [['crew', 'crew'], ['who', ['us', 'them']], ['seats', 'number']], want: [['crew', 'crew'], ['seats', 'number'], ['their', ['', 'bow', 'stern', 'cox']]],
  shift: [['to', ['start', 'settle', 'lengthen', 'build', 'sprint']]], pace: [['secPer500', 'number']], rateChange: [['by', 'number'], ['inStrokes', 'number']], count: [['n', 'number']],
  technique: [['topic', ['catch', 'finish', 'legs', 'length', 'hands', 'posture', 'ratio', 'set', 'timing', 'clean', 'breathing']]],
};
const names = { spm: 'strokes a minute', secPer500: 'seconds per 500 m', our: 'our', their: 'their', openWater: 'open water', by: 'by', inStrokes: 'in strokes', n: 'number', rateChange: 'change of rate', strokesTo: 'strokes to', rivalMove: "rival's move", shift: 'rhythm' };
const label = n => names[n] ?? n;

function el(tag, props = {}, ...children) { const e = document.createElement(tag); Object.assign(e, props); e.append(...children); return e; }

function choice(name, values, value) { const s = el('select', { name }); for (const v of values) s.append(el('option', { value: v, textContent: label(v) || 'not said', selected: v === (value ?? '') })); return s; }

export function correctCall(dialog, model, call, at, submit) {
  const rivals = model.doc.crews.filter(c => !c.us).map(c => c.name);
  const head = el('h2', { id: 'correct-head', textContent: call ? `At ${clock(call.t - model.zero)}: "${call.words}"` : `A call at ${clock(at - model.zero)} that was missed` });
  const form = el('form', { method: 'dialog' }), body = el('div', { className: 'row' });
  const types = Object.keys(fields), type = choice('type', types, call && fields[call.type] ? call.type : 'margin');
  const build = () => {
    const start = call && call.type === type.value ? call : {};
    body.replaceChildren(...fields[type.value].map(([name, kind]) => {
      const value = start[name];
      const input = kind === 'crew' ? choice(name, ['', ...rivals], value) : Array.isArray(kind) ? choice(name, kind, value == null ? undefined : String(value))
        : kind === 'flag' ? el('input', { name, type: 'checkbox', checked: value === true }) : el('input', { name, type: 'text', inputMode: kind === 'number' ? 'decimal' : 'text', size: 7, value: value ?? '' });
      return el('label', {}, label(name) + ' ', input);
    }));
  };
  type.addEventListener('change', build); build();
  const read = () => {
    const part = { id: call?.id ?? 0, t: call?.t ?? at, tSd: call?.tSd ?? .5, type: type.value, confidence: 1, words: call?.words ?? '', cue: call?.cue ?? Math.max(0, model.cueAt(at)), corrected: true, others: [] };
    for (const [name, kind] of fields[type.value]) {
      const input = body.querySelector(`[name="${name}"]`), text = input.value.trim();
      if (kind === 'flag') { part[name] = input.checked; continue; }
      if (text === '') continue;
      if (kind === 'number') { const x = Number(text.replace(',', '.')); if (!Number.isFinite(x)) throw new Error(`${label(name)} wants a number.`); part[name] = x; } else part[name] = text;
    }
    return part;
  };
  const complain = el('p', { className: 'notice', role: 'alert' }), said = { at: call?.t ?? at, heard: call?.words ?? '', ...(call ? { was: call } : {}) };
  const truly = el('input', { name: 'said', size: 28, maxLength: 200, value: call?.words ?? '', autocomplete: 'off' });
  // Only what differs teaches something: the crew's own words are learned from it.
  const taught = () => call && truly.value.trim() && truly.value.trim() !== call.words ? { said: truly.value.trim() } : {};
  const save = el('button', { type: 'submit', className: 'main-button', textContent: call ? 'That is what it was' : 'Add it' });
  form.addEventListener('submit', e => { e.preventDefault(); try { const is = read(); dialog.close(); submit({ call: { ...said, ...taught(), is } }); } catch (x) { complain.textContent = x.message; } });
  const row = el('div', { className: 'row' }, save);
  if (call) {
    row.append(el('button', { type: 'button', textContent: 'No call at all', onclick: () => { dialog.close(); submit({ call: said }); } }));
    row.append(el('button', { type: 'button', textContent: 'It was now, at the cursor', onclick: () => { dialog.close(); submit({ call: { ...said, is: call, moved: Math.round(at * 100) / 100 } }); } }));
  }
  row.append(el('button', { type: 'button', textContent: 'Leave it', onclick: () => dialog.close() }));
  const others = el('p', {});
  for (const o of call?.others ?? []) others.append(el('button', { type: 'button', className: 'quiet', textContent: `${Math.round(100 * o.probability)} %: ${describe(o.reading)}`, onclick: () => { dialog.close(); submit({ call: { ...said, is: { ...o.reading, others: [] } } }); } }));
  form.append(el('label', {}, 'It is a call of ', type), body, ...(call?.words ? [el('label', {}, 'What was truly said ', truly)] : []), complain, row);
  dialog.replaceChildren(head, ...(call?.others?.length ? [el('p', { textContent: 'Or one of the other readings:' }), others] : []), form);
  dialog.showModal(); type.focus();
}

function describe(c) { return Object.entries(c).filter(([k, v]) => fields[c.type]?.some(([n]) => n === k) && v != null && v !== false).map(([k, v]) => `${label(k)} ${v}`).join(', ') || c.type; }

export function correctFacts(dialog, model, at, submit) {
  const d = model.doc, line = (words, inputs, make) => {
    const form = el('form', { method: 'dialog', className: 'row' }), complain = el('small', {});
    form.append(words + ' ', ...inputs, el('button', { type: 'submit', textContent: 'Put right' }), complain);
    form.addEventListener('submit', e => { e.preventDefault(); try { const part = make(form.elements); dialog.close(); submit(part); } catch (x) { complain.textContent = x.message; } });
    return form;
  };
  const num = (text, what) => { const x = Number(String(text).replace(',', '.').replace('−', '-')); if (String(text).trim() === '' || !Number.isFinite(x)) throw new Error(what + ' wants a number.'); return x; };
  const input = (name, value, size = 8) => { const i = el('input', { name, size, value: value ?? '' }); i.setAttribute('aria-label', name); return i; };
  const crew = () => { const s = choice('crew', d.crews.map(c => c.name)); s.setAttribute('aria-label', 'crew'); return s; };
  dialog.replaceChildren(el('h2', { id: 'correct-head', textContent: 'Put crews, lanes, start, distance or clocks right' }),
    line(`The word "go" was at ${clock(at)} of the recording, where the cursor stands.`, [], () => ({ start: { goAt: Math.round(at * 100) / 100 } })),
    line('Length of the race, m', [input('metres', d.clock.distance)], f => ({ distance: { metres: num(f.metres.value, 'The length') } })),
    line('Lane', [crew(), input('lane', '', 4)], f => ({ lane: { crew: f.crew.value, lane: Math.round(num(f.lane.value, 'The lane')) } })),
    line('Name', [crew(), input('is', '', 14)], f => ({ crew: { was: f.crew.value, is: f.is.value.trim() } })),
    line('A crew that is missing', [input('is', '', 14)], f => ({ crew: { is: f.is.value.trim() } })),
    ...(d.clock.maps ?? []).map(m => line(`The ${m.clock === 'motion' ? 'motion log (and the track with it)' : 'track'} is later by, s`, [input('shift', '', 6)], f => ({ clock: { clock: m.clock, shift: num(f.shift.value, 'The shift') } }))),
    el('form', { method: 'dialog' }, el('button', { textContent: 'Leave it' })));
  dialog.showModal();
}
