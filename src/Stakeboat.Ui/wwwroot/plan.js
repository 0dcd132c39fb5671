// The plan is worked out again a moment after the last key; an answer that was overtaken is thrown away.
const area = document.getElementById('plan-text'), look = document.getElementById('plan-look');
let timer = 0, asked = 0;
if (area && look) {
  area.addEventListener('input', () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      const mine = ++asked;
      try {
        const answer = await fetch('/plan/look', { method: 'POST', headers: { 'Content-Type': 'text/plain' }, body: area.value });
        const html = await answer.text();
        if (mine === asked && answer.ok) look.innerHTML = html;
      } catch { /* The next key asks again. */ }
    }, 250);
  });
}
