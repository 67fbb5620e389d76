// Entries are kept on this device until the server has answered, and sent in order, once: the id makes a repeat harmless.
const KEPT = 'entries-kept';
let sending = null, known = Number(root.dataset.kept) || Date.now(), connected = !root.dataset.kept, inHand = false;
const kept = () => keep.get(KEPT, []);
function answerOf(response, data) {
  if (response.ok) return { done: true, seq: data?.accepted?.seq ?? data?.seq };
  if (response.status >= 500 || response.status === 408 || response.status === 429) return { later: true };
  const no = data?.refused ?? data?.error ?? (data?.conflict && { reason: 'Someone else entered something meanwhile.' }) ?? {};
  return { no: [no.reason, no.cure].filter(Boolean).join(' ') || `not accepted (${response.status})` };
}
// How long ago, not when: the clock of a workshop phone may be wrong.
const bodyOf = entry => new URLSearchParams([...entry.fields, ['ago_ms', String(Math.max(0, Date.now() - entry.made))]]);
async function post(entry) {
  const response = await fetch(entry.to, {
    method: 'POST', body: bodyOf(entry),
    headers: { Accept: 'application/json' }, signal: AbortSignal.timeout?.(15000),
  });
  return answerOf(response, await response.json().catch(() => null));
}
// Entries of one job that were made without a connection build on each other: the later one expects what the earlier one became.
function rebase(rest, sent, seq) {
  if (seq === undefined) return;
  for (const e of rest) if (e.to === sent.to && e.basis === sent.basis) e.fields = e.fields.map(([k, v]) => k === 'seq' ? [k, String(seq)] : [k, v]);
}
async function flush() {
  for (let all = kept(); all.length && !all[0].no; all = kept()) {
    let answer;
    try { answer = await post(all[0]); } catch { answer = { later: true }; }
    const now = kept();
    if (answer.later) { lost(); break; }
    if (answer.no) { now[0].no = answer.no; keep.set(KEPT, now); break; }
    const sent = now.shift();
    rebase(now, sent, answer.seq);
    keep.set(KEPT, now);
    back();
  }
  showWire();
}
function sendKept() {
  if (inHand) return sending;
  sending ??= flush().finally(() => { sending = null; });
  return sending;
}
function lost() { connected = false; showWire(); }
function back() { known = Date.now(); if (!connected) { connected = true; refetch(); } showWire(); }
function showWire() {
  const wire = $('#wire'), all = inHand ? [] : kept(), stuck = all.find(e => e.no);
  body.classList.toggle('stale', !connected);
  const shots = keep.get('photos');
  wire.hidden = connected && !all.length && !shots;
  if (wire.hidden) return;
  const lines = [];
  if (!connected) lines.push(`No connection. What is shown here is ${clock((Date.now() - known) / 1000)} old.`);
  if (all.length && !stuck) lines.push(`${all.length === 1 ? 'One entry is' : `${all.length} entries are`} kept here and sent when it is back.`);
  if (stuck) lines.push(`Kept: “${stuck.label}” of ${new Date(stuck.made).toLocaleTimeString()}. ${stuck.no}`);
  if (shots) lines.push(shots.text);
  const text = lines.join(' ') || 'Sending…';
  if (wire.dataset.text === text) return;
  wire.dataset.text = text;
  wire.replaceChildren(make('span', text));
  if (shots?.no) wire.append(make('br'), make('button', 'Drop the photo', { type: 'button' })), wire.lastChild.onclick = () => dropPhoto(shots.no);
  if (!stuck) return;
  const again = make('button', 'Send again on the newer state', { type: 'button' }), drop = make('button', 'Drop it', { type: 'button' });
  again.onclick = () => settle(e => { delete e.no; e.fields = e.fields.map(([k, v]) => k === 'seq' ? [k, currentSeq()] : k === 'id' ? [k, newId()] : [k, v]); return e; });
  drop.onclick = () => settle(() => null);
  wire.append(make('br'), again, drop);
}
function settle(how) {
  const all = kept(), at = all.findIndex(e => e.no);
  if (at >= 0) { const e = how(all[at]); e ? all[at] = e : all.splice(at, 1); }
  keep.set(KEPT, all);
  sendKept();
}
const currentSeq = () => $('form[data-act] input[name=seq]')?.value ?? '0';
let dropPhoto;
if ($('form.shoot') || keep.get('photos')) import('ALBUM_ADDRESS').then(m => { dropPhoto = m.default({ $, keep, put, newId, lost, back, showWire }); }).catch(() => {});
addEventListener('online', sendKept);
addEventListener('offline', lost);
// A kept page that has no stream asks by itself whether the workshop is there again.
if (!connected && !part) setInterval(() => fetch('/health').then(r => r.ok && location.reload(), () => {}), 5000);
if (!connected) setTimeout(showWire);
setInterval(() => { if (!connected || kept().length) { showWire(); if (kept().length && navigator.onLine) sendKept(); } }, 1000);
