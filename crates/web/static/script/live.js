// The stream: figures as they come, the rest of the page when the log has grown. In between the counts run on by themselves.
let live = null;
const speed = () => live?.speed ?? (Number(part?.dataset.speed ?? body.dataset.speed) || 1);
// Remember when each count was drawn; from then on it is computed, not decremented, so a sleeping page wakes up right.
function stamp(element) {
  for (const e of $$('[data-tick]', element)) if (e.stamped !== e.dataset.seconds || !e.since) { e.stamped = e.dataset.seconds; e.since = performance.now(); }
}
function tick() {
  for (const e of $$('[data-tick]')) {
    if (!e.since) stamp(body);
    const text = clock(Number(e.dataset.seconds) + Number(e.dataset.tick) * (performance.now() - e.since) / 1000 * speed());
    if (e.textContent !== text) e.textContent = text;
  }
}
setInterval(tick, 200);
function count(element, seconds, way) {
  if (seconds === null || seconds === undefined) { delete element.dataset.tick; return false; }
  element.dataset.tick = way; element.dataset.seconds = seconds;
  element.stamped = String(seconds); element.since = performance.now();
  return true;
}
const BANDS = { cold: '▼', open: '●', hot: '▲', unknown: '◇' };
function show(now) {
  const grown = live && now.seq !== live.seq;
  live = now;
  put('whole', now.whole); put('tenths', now.tenths); put('degree', now.unit); put('rate', now.rate);
  put('verb', now.verb); put('why', now.why);
  put('band', now.band_word); put('glyph', BANDS[now.band]);
  put('lead', now.forecast.lead); put('doubt', now.forecast.doubt); put('then', now.forecast.then);
  const flag = $('#flag'), figures = $('#figures'), c = $('#clock'), pointer = $('#pointer');
  if (flag) flag.className = `flag ${now.band === 'open' && now.band_word !== 'OPEN NOW' ? 'inside' : now.band}`;
  if (figures) figures.className = `figures ${now.band} ${now.mood}${now.whole.length > 2 ? ' wide' : ''}${now.pointer === null && now.age_s === null ? ' none' : ''}`;
  const say = $('.say');
  if (say) say.className = `say ${now.mood}`;
  if (c) { c.className = now.forecast.left_s === null ? now.forecast.says.length > 22 ? 'words long' : 'words' : now.forecast.left_s >= 3600 ? 'clock long hours' : now.forecast.left_s >= 600 ? 'clock long' : 'clock'; if (!count(c, now.forecast.left_s, '-1')) put('clock', now.forecast.says); }
  const age = $('#age [data-tick]');
  if (age && now.age_s !== null) count(age, now.age_s, '1');
  if (pointer && now.pointer !== null) { pointer.setAttribute('x', `${now.pointer}%`); pointer.classList.remove('gone'); }
  tick();
  told(now);
  return grown;
}
function told(now) {
  setCue(now.cue, now.say, now.verb);
  stayAwake(now.out.length > 0 || now.forecast.left_s !== null);
}
function readLive() {
  const figures = $('#figures');
  if (figures?.dataset.live) try { live = JSON.parse(figures.dataset.live); told(live); } catch { /* the stream brings it */ }
}
function listen() {
  const stream = new EventSource(`/job/${job}/live`);
  let seen = performance.now(), later = 0;
  const alive = () => { seen = performance.now(); back(); };
  const soon = () => { clearTimeout(later); later = setTimeout(refetch, 250); };
  stream.onopen = () => { alive(); sendKept(); };
  stream.onmessage = e => { alive(); if (show(JSON.parse(e.data))) soon(); };
  on(stream, 'page', () => { alive(); soon(); });
  stream.onerror = () => { lost(); if (stream.readyState === EventSource.CLOSED) { clearInterval(watch); setTimeout(listen, 3000); } };
  // A phone that slept may hold a dead stream that never errs.
  const watch = setInterval(() => { if (performance.now() - seen > 40000) { clearInterval(watch); stream.close(); lost(); listen(); } }, 5000);
}
dress(document);
stamp(body);
readLive();
if (job) listen();
else if (part?.dataset.refetch) setInterval(() => document.visibilityState === 'visible' && refetch(), 1000 * part.dataset.refetch);
if (kept().length) sendKept();
