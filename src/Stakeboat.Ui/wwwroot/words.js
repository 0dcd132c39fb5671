import { get, newKey, send } from './talk.js';

// Words of a recording: they appear as they are heard, are chosen among, and put right line by line.
const page = document.getElementById('words'), id = page.dataset.id, notice = document.getElementById('notice');
const begin = document.getElementById('begin'), stop = document.getElementById('stop'), work = document.getElementById('work');
const bar = document.getElementById('bar'), stage = document.getElementById('stage'), heard = document.getElementById('heard'), sound = document.getElementById('sound');
const clock = t => Math.floor(t / 60) + ':' + String(Math.floor(t % 60)).padStart(2, '0');
const say = text => { notice.textContent = text; };

// ---- as they are heard: a list item for each quarter of a minute, words in the order of time
let seen = 0, watching = false;
const quarters = new Map();

function place(words) {
  const changed = new Set();
  for (const w of words) {
    const q = Math.floor(w.t / 15);
    if (!quarters.has(q)) {
      const li = document.createElement('li'), at = document.createElement('button'), text = document.createElement('span');
      at.type = 'button'; at.className = 'quiet at'; at.dataset.t = q * 15; at.textContent = clock(q * 15); text.className = 'said'; li.append(at, text);
      const after = [...quarters.keys()].filter(k => k > q).sort((a, b) => a - b)[0];
      heard.insertBefore(li, after === undefined ? null : quarters.get(after).li);
      quarters.set(q, { li, text, words: [] });
    }
    quarters.get(q).words.push(w); changed.add(q);
  }
  for (const q of changed) {
    const { text, words: all } = quarters.get(q);
    all.sort((a, b) => a.t - b.t);
    text.replaceChildren(...all.flatMap(w => {
      if (!(w.p < .5)) return [w.w + ' '];
      const span = document.createElement('span'); span.className = 'unsure'; span.textContent = w.w;
      if (w.others.length) span.title = 'or: ' + w.others.join(', ');
      return [span, ' '];
    }));
  }
}

function show(s) {
  page.dataset.state = s.state;
  const going = s.state === 'waiting' || s.state === 'running';
  work.hidden = s.state === 'none' || s.state === 'done'; begin.hidden = going; stop.hidden = !going;
  bar.value = s.done;
  stage.textContent = s.state === 'waiting' ? 'Waiting for another recording.' : s.state === 'running' ? `${Math.round(100 * s.done)} % · ${s.stage} · ${s.count} words` : '';
  if (s.message) say(s.message);
  heard.hidden = s.state === 'done' || (seen === 0 && !going);
  return going;
}

async function watch(fresh) {
  if (watching) return;
  watching = true;
  let going = true;
  try {
    while (going) {
      const s = await (await get(`/outings/${id}/words/state?seen=${seen}`)).json();
      place(s.words); seen = s.count; going = show(s);
      if (s.state === 'done' && fresh) { location.reload(); return; }
      if (going) await new Promise(r => setTimeout(r, 500));
    }
  } catch (e) { say(e.message); } finally { watching = false; }
}

begin?.addEventListener('click', async () => {
  try {
    seen = 0; quarters.clear(); heard.replaceChildren(); say('');
    show(await send('POST', `/outings/${id}/words/begin`, { recogniser: document.querySelector('[name=recogniser]:checked')?.value ?? null }));
    watch(true);
  } catch (e) { say(e.message); }
});
stop?.addEventListener('click', async () => { try { show(await send('POST', `/outings/${id}/words/stop`)); } catch (e) { say(e.message); } });
if (begin && page.dataset.state !== 'none') watch(['waiting', 'running'].includes(page.dataset.state));

// ---- hear, choose, put right
async function correct(correction) {
  const state = await (await get(`/outings/${id}/state`)).json();
  const answer = await send('POST', `/outings/${id}/corrections`, { correction: { schema: 'stakeboat.correction', version: 1, ...correction }, seen: state.revision, key: newKey() });
  say(answer.changed ?? '');
}

page.addEventListener('click', e => {
  const at = e.target.closest('.at');
  if (at && sound) { sound.currentTime = Math.max(0, Number(at.dataset.t) - .3); sound.play().catch(() => {}); return; }
  const line = e.target.closest('button.line');
  if (line) edit(line);
});

page.addEventListener('change', async e => {
  if (e.target.name !== 'use') return;
  try { await correct({ words: { use: e.target.value } }); } catch (error) { say(error.message); }
});

function edit(line) {
  const form = document.createElement('form'), input = document.createElement('input'), keep = document.createElement('button'), leave = document.createElement('button');
  form.className = 'retype'; input.value = line.dataset.was; input.maxLength = 1000; input.setAttribute('aria-label', 'What was said at ' + clock(Number(line.dataset.t)));
  keep.textContent = 'Keep'; leave.type = 'button'; leave.textContent = 'Leave'; form.append(input, keep, leave);
  line.replaceWith(form); input.focus();
  const back = () => { form.replaceWith(line); line.focus(); };
  leave.addEventListener('click', back);
  input.addEventListener('keydown', e => { if (e.key === 'Escape') back(); });
  form.addEventListener('submit', async e => {
    e.preventDefault();
    const is = input.value.trim();
    if (is === line.dataset.was) { back(); return; }
    keep.disabled = true;
    try {
      await correct({ line: { file: line.dataset.file, at: Number(line.dataset.t), was: line.dataset.was, is } });
      line.textContent = is || '(nothing)'; line.dataset.was = is; line.classList.add('retyped'); back();
    } catch (error) { say(error.message); keep.disabled = false; }
  });
}
