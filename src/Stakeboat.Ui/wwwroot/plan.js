// The plan is worked out again a moment after the last key; an answer that was overtaken is thrown away.
const form = document.getElementById('plan-form'), area = document.getElementById('plan-text');
const look = document.getElementById('plan-look'), crew = document.getElementById('crew-look');
let timer = 0, asked = 0;

async function work() {
  const mine = ++asked;
  try {
    const answer = await fetch('/plan/look', { method: 'POST', body: new URLSearchParams(new FormData(form)) });
    const html = await answer.text();
    if (mine !== asked) return;
    if (answer.ok) look.innerHTML = html; else look.textContent = html;
    look.dataset.asked = String(mine);
  } catch { look.textContent = 'The program does not answer: is it still running? What you typed is still here.'; }
}

async function learn() {
  crew.textContent = 'Looking for pieces …';
  try {
    const answer = await fetch('/plan/crew', { method: 'POST', body: new URLSearchParams(new FormData(form)) });
    if (answer.ok) crew.innerHTML = await answer.text(); else crew.textContent = await answer.text();
  } catch { crew.textContent = 'The program does not answer: is it still running?'; }
}

// Lines of the same word are replaced; a reference pace takes the place of a pace or a time.
function take(lines) {
  const keys = lines.map(l => l.split(' ')[0]);
  if (keys.includes('reference')) keys.push('pace', 'time');
  if (keys.includes('pieces')) keys.push('energy', 'efforts');
  const rest = area.value.split('\n').filter(l => !keys.includes(l.trim().split(/[\s:]/)[0].toLowerCase()));
  const at = Math.max(0, rest.findIndex(l => l.trim() === ''));
  rest.splice(at, 0, ...lines);
  area.value = rest.join('\n');
  area.focus();
  work();
}

if (form && area && look) {
  form.addEventListener('input', e => {
    if (e.target.name !== 'text' && e.target.name !== 'beside') return;
    clearTimeout(timer);
    timer = setTimeout(work, 250);
  });
  form.addEventListener('submit', e => {
    if (e.submitter?.hasAttribute('formaction')) return;
    e.preventDefault();
    clearTimeout(timer);
    work();
  });
  form.addEventListener('click', e => {
    if (e.target.id === 'learn') learn();
    if (e.target.id === 'take-lines') take(document.getElementById('crew-lines').textContent.split('\n').filter(l => l));
  });
}
