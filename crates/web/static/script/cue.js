// Heard as well as seen: three sounds, spoken words, vibration; repeated until someone answers with a tap or a key.
const cue = { kind: 'none', say: '', verb: null, heard: true, timer: 0, audio: null, on: keep.get('sound', false) };
const wish = (name, otherwise = true) => keep.get(name, otherwise);
// Per sound: [hertz, start in s, length in s]…, then the vibration in ms.
const SOUND = {
  ready: { notes: [[587, 0, .14], [587, .22, .14]], shake: [120] },
  act: { notes: [[784, 0, .16], [988, .18, .16], [1319, .36, .32]], shake: [200, 80, 200, 80, 400] },
  stop: { notes: [[330, 0, .3], [247, .34, .3], [330, .68, .3], [247, 1.02, .4]], shake: [700, 120, 700] },
};
function play(kind) {
  const sound = SOUND[kind];
  if (!sound) return;
  if (wish('shake') && navigator.userActivation?.hasBeenActive && !matchMedia('(prefers-reduced-motion: reduce)').matches) navigator.vibrate?.(sound.shake);
  if (!cue.on || !cue.audio) return;
  for (const [hertz, start, length] of sound.notes) {
    const tone = cue.audio.createOscillator(), loud = cue.audio.createGain(), at = cue.audio.currentTime + start;
    tone.type = 'triangle'; tone.frequency.value = hertz;
    loud.gain.setValueAtTime(0, at);
    loud.gain.linearRampToValueAtTime(.6, at + .02);
    loud.gain.setValueAtTime(.6, at + length - .03);
    loud.gain.linearRampToValueAtTime(0, at + length);
    tone.connect(loud).connect(cue.audio.destination);
    tone.start(at); tone.stop(at + length);
  }
}
function speak(words) {
  if (!cue.on || !words || !wish('speech') || !window.speechSynthesis) return;
  speechSynthesis.cancel();
  const said = new SpeechSynthesisUtterance(words);
  said.lang = 'en'; said.rate = Number(wish('pace', 1)) || 1;
  speechSynthesis.speak(said);
}
function call() {
  play(cue.kind);
  setTimeout(() => cue.heard || speak(cue.say), 1400);
}
function setCue(kind, say, verb) {
  if (verb !== cue.verb) {
    if (cue.verb !== null && kind === 'none' && wish('every', false)) speak(verb);
    cue.verb = verb;
  }
  if (kind === cue.kind && say === cue.say) return;
  cue.kind = kind; cue.say = say; cue.heard = kind === 'none';
  clearInterval(cue.timer);
  if (cue.heard) { delete body.dataset.cue; return; }
  body.dataset.cue = kind;
  call();
  // "Get ready" is said once more, the other two until they are heard.
  let left = kind === 'ready' ? 1 : 1e9;
  cue.timer = setInterval(() => left-- > 0 ? call() : hear(), 5000);
}
function hear() {
  cue.heard = true;
  clearInterval(cue.timer);
  delete body.dataset.cue;
  window.speechSynthesis?.cancel();
}
// A browser lets a page sound only after a touch.
function wake() {
  if (cue.on && !cue.audio && window.AudioContext) cue.audio = new AudioContext();
  cue.audio?.resume?.();
}
function showSound() {
  body.classList.toggle('sounding', cue.on);
  for (const chip of $$('.chip.sound')) chip.setAttribute('aria-pressed', String(cue.on));
}
function setSound(on) {
  cue.on = on; keep.set('sound', on);
  showSound(); wake();
  if (on) { play('ready'); speak('Sound on'); } else window.speechSynthesis?.cancel();
}
for (const chip of $$('.chip.sound')) on(chip, 'click', () => setSound(!cue.on));
// The settings page: every choice is kept on this device, every sound can be tried.
const USUAL = { sound: false, speech: true, every: false, shake: true, pace: 1 };
for (const e of $$('[data-set]')) {
  const name = e.dataset.set, tick = e.type === 'checkbox';
  if (tick) e.checked = wish(name, USUAL[name]); else e.value = wish(name, USUAL[name]);
  on(e, 'change', () => {
    keep.set(name, tick ? e.checked : e.value);
    if (name === 'sound') setSound(e.checked); else if (!tick) speak('Put the level plug in now.');
  });
}
for (const e of $$('[data-try]')) on(e, 'click', () => {
  const on = cue.on;
  cue.on = true; wake(); play(e.dataset.try); speak(e.textContent); cue.on = on;
});
for (const touch of ['pointerdown', 'keydown']) addEventListener(touch, () => { wake(); hear(); }, { capture: true });
showSound();
// The screen stays on while a plug is out or the window is awaited.
let lock = null, lockWanted = false;
async function stayAwake(wanted) {
  lockWanted = wanted;
  try {
    if (wanted && !lock && document.visibilityState === 'visible') {
      lock = await navigator.wakeLock?.request('screen') ?? null;
      lock?.addEventListener('release', () => { lock = null; });
    } else if (!wanted && lock) { await lock.release(); lock = null; }
  } catch { lock = null; }
}
on(document, 'visibilitychange', () => document.visibilityState === 'visible' && stayAwake(lockWanted));
