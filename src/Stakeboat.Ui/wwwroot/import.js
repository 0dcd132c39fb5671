import { newKey, send, upload } from './talk.js';

const form = document.getElementById('import'), drop = document.getElementById('drop'), input = document.getElementById('files'), folder = document.getElementById('folder');
const list = document.getElementById('arriving'), notice = document.getElementById('notice'), stop = document.getElementById('stop'), button = document.getElementById('send');
let key = newKey(), busy = false, stopped = false, current = null;

async function walk(entry, out) {
  if (entry.isFile) out.push(await new Promise((a, b) => entry.file(a, b)));
  else if (entry.isDirectory) {
    const reader = entry.createReader();
    for (;;) { const part = await new Promise((a, b) => reader.readEntries(a, b)); if (!part.length) break; for (const e of part) await walk(e, out); }
  }
  return out;
}

async function bring(files, named) {
  if (busy) return;
  if (!files.length) { notice.textContent = 'No file was chosen.'; return; }
  busy = true; stopped = false; notice.textContent = ''; button.disabled = true; stop.hidden = false; list.replaceChildren();
  const rows = files.map(f => {
    const li = document.createElement('li'), name = document.createElement('span'), state = document.createElement('span'), bar = document.createElement('progress');
    name.textContent = f.name; state.textContent = 'waiting'; bar.max = 1; bar.value = 0; bar.setAttribute('aria-label', 'Progress of ' + f.name); li.append(name, state, bar); list.append(li);
    return { state, bar };
  });
  let id = form.dataset.to || null, fresh = !id;
  try {
    if (fresh) id = (await send('POST', '/imports', { name: named, key, crew: form.elements.crew?.value || null, course: form.elements.course?.value || null })).id;
    for (let i = 0; i < files.length; i++) {
      if (stopped) throw Object.assign(new Error('Stopped.'), { stopped: true });
      rows[i].state.textContent = 'coming in';
      current = upload(`/imports/${id}/files?name=${encodeURIComponent(files[i].name)}`, files[i], x => { rows[i].bar.value = x; });
      await current.done; rows[i].bar.value = 1; rows[i].state.textContent = 'kept';
    }
    if (fresh) await send('POST', `/imports/${id}/finish`);
    else await send('POST', `/outings/${id}/again`);
    location.href = '/outings/' + id;
  } catch (e) {
    notice.textContent = e.stopped ? 'Stopped; nothing was kept.' : e.message;
    if (fresh && id) send('DELETE', '/imports/' + id).catch(() => {});
    key = newKey();
  } finally { busy = false; button.disabled = false; stop.hidden = true; current = null; }
}

const usual = files => files.filter(f => !f.name.startsWith('.') && f.size > 0);
form.addEventListener('submit', e => { e.preventDefault(); bring(usual([...input.files, ...folder.files]), form.elements.name?.value || guess([...input.files, ...folder.files])); });
stop.addEventListener('click', () => { stopped = true; current?.stop(); });
for (const kind of ['dragenter', 'dragover']) document.addEventListener(kind, e => { e.preventDefault(); drop.classList.add('over'); });
for (const kind of ['dragleave', 'drop']) document.addEventListener(kind, e => { e.preventDefault(); if (kind === 'drop' || e.relatedTarget === null) drop.classList.remove('over'); });
document.addEventListener('drop', async e => {
  const entries = [...(e.dataTransfer?.items ?? [])].map(i => i.webkitGetAsEntry?.()).filter(Boolean);
  let files = [], named = form.elements.name?.value;
  if (entries.length) { for (const entry of entries) await walk(entry, files); if (!named && entries.length === 1 && entries[0].isDirectory) named = entries[0].name; }
  else files = [...(e.dataTransfer?.files ?? [])];
  bring(usual(files), named || guess(files));
});

function guess(files) { const path = files[0]?.webkitRelativePath; return path ? path.split('/')[0] : files.length === 1 ? files[0].name.replace(/\.[^.]*$/, '') : ''; }
