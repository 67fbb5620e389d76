// Wet hands: held buttons, one key for the one button, digits for a temperature, one tap a drop.
const HOLD_MS = 800;
// The thumb is still down when a held act is done: letting go must not press what then stands in its place.
let letGo = false;
addEventListener('click', e => { if (letGo) { e.preventDefault(); e.stopImmediatePropagation(); } }, true);
let presses = 0;
for (const down of ['pointerdown', 'keydown']) addEventListener(down, e => { presses++; pressed = e.target.closest?.('button'); if (down[0] === 'p') letGo = false; }, true);
for (const up of ['pointerup', 'pointercancel', 'keyup', 'blur']) addEventListener(up, () => {
  const press = presses;
  setTimeout(() => { if (press !== presses) return; letGo = false; pressed = null; if (skipped) { skipped = false; refetch(); } }, 120);
}, true);
function dress(element) {
  for (const button of $$('.hold', element)) holdable(button);
  for (const field of $$('[data-drops]', element)) countable(field);
  for (const b of $$('[data-step]', element)) on(b, 'click', () => step($('input', b.closest('.stepped')), b.dataset.step));
}
function holdable(button) {
  let timer = 0;
  const start = () => {
    if (timer || button.disabled) return;
    button.classList.add('holding');
    timer = setTimeout(() => { end(); letGo = true; button.dataset.held = '1'; button.form.requestSubmit(button); delete button.dataset.held; }, HOLD_MS);
  };
  const end = () => { clearTimeout(timer); timer = 0; button.classList.remove('holding'); };
  on(button, 'pointerdown', e => { if (e.button === 0) { button.setPointerCapture?.(e.pointerId); start(); } });
  for (const over of ['pointerup', 'pointercancel', 'lostpointercapture', 'blur']) on(button, over, end);
  on(button, 'contextmenu', e => e.preventDefault());
  button.startHold = start; button.endHold = end;
}
// A figure moves from what stands there, else from what was entered last, from the live temperature, or from the figure in its label.
const lastOf = input => `last ${input.form.dataset.act} ${input.name}`;
function step(input, by) {
  const label = $('.name', input.closest('label')).textContent.match(/\d+([.,]\d+)?/);
  const from = input.value.trim() || (input.name === 'temperature' && live?.whole > '-' && live.whole !== '–' ? live.whole : keep.get(lastOf(input), label?.[0] ?? '0'));
  const now = Number(from.replace(',', '.').replace('−', '-'));
  if (Number.isNaN(now)) return;
  const [value, places] = [now + Number(by), Math.max(by.split('.')[1]?.length ?? 0, from.split(/[.,]/)[1]?.length ?? 0)];
  input.value = value.toFixed(places);
  input.dataset.typed = '1';
}
// Rate over the last taps; the first tap only starts the clock.
function countable(field) {
  const input = $('input', field), button = make('button', 'Tap once per drop', { type: 'button', class: 'tap', 'data-key': '' });
  let taps = [];
  on(button, 'click', () => {
    const now = performance.now();
    if (taps.length && now - taps.at(-1) > 6000) taps = [];
    taps = [...taps, now].slice(-21);
    button.dataset.counting = '1';
    clearTimeout(button.rest);
    button.rest = setTimeout(() => delete button.dataset.counting, 6000);
    if (taps.length < 3) { button.textContent = `${taps.length} …`; return; }
    const perMinute = (taps.length - 1) / ((now - taps[0]) / 60000) / speed();
    input.value = String(Math.round(perMinute));
    input.dataset.typed = '1';
    button.textContent = `${Math.round(perMinute)} drops a minute`;
  });
  field.after(button);
}
const typing = e => e.target.closest?.('input,textarea,select,summary,a,[contenteditable]');
const theButton = () => $('.dock form.act button.do') ?? $('.dock .looks button');
addEventListener('keydown', e => {
  if (e.ctrlKey || e.metaKey || e.altKey) return;
  if (/^Arrow(Up|Down)$/.test(e.key) && e.target.closest?.('.stepped')) {
    e.preventDefault();
    return step(e.target.closest('.stepped').querySelector('input'), $$('[data-step]', e.target.closest('.stepped'))[e.key === 'ArrowUp' ? 1 : 0].dataset.step);
  }
  const press = e.key === ' ' || e.key === 'Enter', held = e.target.closest?.('.hold');
  if (press && held) { e.preventDefault(); if (!e.repeat) held.startHold(); return; }
  if (typing(e)) return;
  if (press && !e.target.closest?.('button')) {
    const button = theButton();
    if (!button) return;
    e.preventDefault();
    if (e.repeat) return;
    if (button.startHold) { button.focus({ preventScroll: true }); button.startHold(); } else button.form.requestSubmit(button);
  } else if (/^[0-9-]$/.test(e.key)) {
    const input = $('.dock input[name=temperature]') ?? $('details[data-act=reading] input[name=temperature]');
    if (!input) return;
    e.preventDefault();
    const around = input.closest('details');
    if (around) around.open = true;
    input.value = e.key; input.dataset.typed = '1';
    input.focus();
  }
});
addEventListener('keyup', e => { if (e.key === ' ' || e.key === 'Enter') { const held = e.target.closest?.('.hold'); if (held) { e.preventDefault(); held.endHold(); } } });
const labelOf = form => $('.do .says', form)?.textContent ?? form.dataset.act;
// Without script the form goes as it is; with script it is kept first and then sent.
addEventListener('submit', async e => {
  const form = e.target, button = e.submitter;
  if (!form.matches('form[data-act]') || !form.action.endsWith('/log')) return;
  e.preventDefault();
  const main = $('button.hold', form);
  if (main && !main.dataset.held) return;
  const data = new FormData(form, button), id = form.dataset.sent ??= newId();
  if (main) data.set('held', 'yes');
  data.set('id', id);
  const entry = { to: new URL(form.action).pathname, fields: [...data].map(([k, v]) => [k, String(v)]), label: labelOf(form), made: Date.now(), basis: data.get('seq') };
  for (const b of $$('button', form)) b.disabled = true;
  const free = () => { delete form.dataset.sent; for (const b of $$('button', form)) b.disabled = false; };
  if (kept().length) { keep.set(KEPT, [...kept(), entry]); await sendKept(); typedAway(form); free(); await refetch(); return; }
  // First attempt: a refusal is shown where it belongs, on the page, not in the line about the connection.
  inHand = true;
  keep.set(KEPT, [entry]);
  let answer, text = '';
  try {
    const response = await fetch(entry.to, { method: 'POST', body: bodyOf(entry), headers: { Accept: 'text/html', 'X-Fragment': '1' }, signal: AbortSignal.timeout?.(15000) });
    text = await response.text();
    answer = response.status >= 500 ? 'later' : response.ok ? 'done' : 'no';
  } catch { answer = 'later'; }
  inHand = false;
  if (answer === 'later') { lost(); typedAway(form); free(); sendKept(); return; }
  keep.set(KEPT, kept().filter(k => k.fields.find(f => f[0] === 'id')?.[1] !== id));
  back();
  if (answer === 'done') typedAway(form);
  free();
  const page = parsed(text), fresh = $('#part', page) ?? page.body;
  if ($('[data-part=strip]', fresh)) { if (answer === 'done') keepPart(text); swap(fresh, true); readLive(); stamp(body); if (answer === 'no') $('.banner[role=alert]')?.scrollIntoView({ block: 'nearest' }); }
  else await refetch();
});
function typedAway(form) {
  for (const input of $$('.stepped input', form)) if (input.value.trim()) keep.set(lastOf(input), input.value.trim());
  for (const input of $$('[data-typed]', form)) { delete input.dataset.typed; if (input.type === 'text') input.value = input.defaultValue; }
}
