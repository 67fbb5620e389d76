// The page renews itself part by part; what is half typed and where the cursor stands is kept.
function inputsOf(element) {
  return $$('input:not([type=hidden]),select,textarea', element).map(e => [e.form?.dataset.act, e.name, e.type === 'checkbox' ? e.checked : e.value, e === document.activeElement, e.selectionStart, e.dataset.typed]);
}
function giveBack(element, before) {
  for (const [act, name, value, active, at, typed] of before) {
    if (!typed && !active) continue;
    const e = $$(`[name="${CSS.escape(name)}"]`, element).find(x => x.form?.dataset.act === act && x.type !== 'hidden');
    if (!e) continue;
    if (typed) { if (e.type === 'checkbox') e.checked = value; else e.value = value; e.dataset.typed = '1'; }
    // Whoever came here by keys and has not typed yet stays here.
    if (active) { e.focus({ preventScroll: true }); try { e.setSelectionRange(at, at); } catch { /* not a text field */ } }
  }
}
addEventListener('input', e => { if (e.target.dataset) e.target.dataset.typed = '1'; });
const PRESSED = 'button,summary,a';
let skipped = false, pressed = null;
function swap(fresh, own = false) {
  const place = $('#part');
  if (!place) return;
  for (const old of $$('[data-part]', place)) if (!$(`[data-part="${old.dataset.part}"]`, fresh)) old.remove();
  let after = null;
  for (const part of $$('[data-part]', fresh)) {
    const old = $(`[data-part="${part.dataset.part}"]`, place);
    if (!old) { after ? after.after(part) : place.prepend(part); after = part; continue; }
    after = old;
    if (old.dataset.html === part.outerHTML || old.outerHTML === part.outerHTML) continue;
    // What is being pressed stays under the finger; it is renewed when it is let go.
    if ($('.holding,[data-counting]', old) || old.contains(pressed)) { skipped = true; continue; }
    // A refusal stays until this device does the next thing; a reading that comes in does not wipe it away.
    if (!own && ['[role=alert]', '.interrupted'].some(kind => $(`.banner${kind}`, old) && !$(`.banner${kind}`, part))) continue;
    const html = part.outerHTML, before = inputsOf(old), open = $$('details[open]', old).map(d => d.dataset.act ?? d.className);
    const at = document.activeElement, focused = old.contains(at) && at.matches(PRESSED) && at.textContent;
    old.replaceWith(part);
    part.dataset.html = html;
    after = part;
    for (const d of $$('details', part)) if (open.includes(d.dataset.act ?? d.className)) d.open = true;
    giveBack(part, before);
    dress(part);
    if (focused) $$(PRESSED, part).find(b => b.textContent === focused)?.focus({ preventScroll: true });
  }
}
// The newest part is kept beside the page, so that a reload without a connection shows this state and not the one first loaded.
function keepPart(text) {
  known = Date.now();
  if (job) window.caches?.open('pages').then(c => c.put(`/job/${job}/fragment`, new Response(text, { headers: { 'x-kept-at': Date.now() } }))).catch(() => {});
}
// Back at a page that was out of sight for minutes: it says where things stand.
let hidden = 0;
on(document, 'visibilitychange', () => {
  if (document.visibilityState === 'hidden') hidden = Date.now();
  else if (job && hidden && Date.now() - hidden > 2.4e5) refetch({ 'X-Back': '1' });
});
let refetching = null;
async function refetch(more = {}) {
  if (!part || refetching) return refetching;
  refetching = (async () => {
    try {
      const from = part.dataset.from ?? (job ? `/job/${job}/fragment` : location.href), headers = { Accept: 'text/html', ...more };
      let text, page, tries = 3;
      do {
        const response = await fetch(from, { headers });
        if (!response.ok) return;
        page = parsed(text = await response.text());
        // An answer that was on its way while something was entered is older than what stands here already.
      } while (JSON.parse($('#figures', page)?.dataset.live ?? '{}').seq < live?.seq && tries--);
      if (!part.dataset.from) keepPart(text);
      swap($('#part', page) ?? page.body);
      if (job) readLive();
      stamp(body);
    } catch { lost(); } finally { refetching = null; }
  })();
  return refetching;
}
// Theme without a reload; the cookie lets the server draw the next page right.
const themes = $$('form.theme');
function offerTheme(other) {
  for (const form of themes) {
    $('button', form).value = other;
    $('.word', form).firstChild.data = other === 'dark' ? 'Dark' : 'White';
  }
}
for (const form of themes) on(form, 'submit', e => {
  e.preventDefault();
  const theme = $('button', form).value;
  root.dataset.theme = theme;
  offerTheme(theme === 'dark' ? 'white' : 'dark');
  document.cookie = `theme=${theme}; path=/; max-age=31536000; samesite=strict`;
});
if (root.dataset.theme === 'device' && matchMedia('(prefers-color-scheme: dark)').matches) offerTheme('white');
// Millimetres of this screen, by a ruler: shown while the line is moved, kept with the form.
const ruler = $('#ruler');
if (ruler) {
  ruler.value = parseFloat(getComputedStyle(root).getPropertyValue('--mm')) || 3.78;
  const draw = px => px > 2 && px < 12 && root.style.setProperty('--mm', `${px}px`);
  on(ruler, 'input', () => { draw(Number(ruler.value)); $('#mm').value = Number(ruler.value).toFixed(2); });
  on($('#mm'), 'input', e => draw(Number(e.target.value)));
}
// A form that is answered while it is filled in; its address keeps what was tapped.
$('form[data-live]')?.addEventListener('change', e => {
  const form = e.currentTarget;
  history.replaceState(null, '', `${form.action}?${new URLSearchParams(new FormData(form))}`);
  Promise.resolve(refetching).then(refetch);
});
if ('serviceWorker' in navigator && isSecureContext) navigator.serviceWorker.register('/static/sw.js', { scope: '/' }).catch(() => {});
