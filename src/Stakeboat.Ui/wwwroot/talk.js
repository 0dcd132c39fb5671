// How pages talk to their own server: every change carries the page's token and a key of its own.
const token = document.querySelector('meta[name="stakeboat-token"]')?.content ?? '';

export const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), b => b.toString(16).padStart(2, '0')).join('');

export async function send(method, url, body) {
  const answer = await fetch(url, { method, headers: { 'X-Stakeboat-Token': token, ...(body === undefined ? {} : { 'Content-Type': 'application/json' }) }, body: body === undefined ? undefined : JSON.stringify(body) });
  const text = await answer.text();
  if (!answer.ok) throw Object.assign(new Error(text || 'The server did not answer.'), { status: answer.status });
  return text ? JSON.parse(text) : null;
}

export async function get(url) {
  const answer = await fetch(url);
  if (!answer.ok) throw Object.assign(new Error(await answer.text()), { status: answer.status });
  return answer;
}

// One file as the body of one request, with progress and a way to break it off.
export function upload(url, file, progress) {
  const x = new XMLHttpRequest();
  const done = new Promise((resolve, reject) => {
    x.open('PUT', url);
    x.setRequestHeader('X-Stakeboat-Token', token);
    x.upload.onprogress = e => progress(e.lengthComputable ? e.loaded / e.total : 0);
    x.onload = () => x.status < 300 ? resolve(JSON.parse(x.responseText)) : reject(new Error(x.responseText || 'The file did not arrive.'));
    x.onerror = () => reject(new Error('The connection to the program broke. Is it still running?'));
    x.onabort = () => reject(Object.assign(new Error('Stopped.'), { stopped: true }));
    x.send(file);
  });
  return { done, stop: () => x.abort() };
}
